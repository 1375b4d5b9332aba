// What a person saw of a plug, read from what they typed.
//
// Model   an observation is a list of items, separated by commas, semicolons or new lines: a position
//         ("r1c2", "row 1 column 2", "1.2"; none or "somewhere" where it is not known) and what is there: a
//         colour ("YE/BU", "yellow/blue", "black with white stripe", "two blacks"), "empty" or "-", "large"
//         or "small"; and, once, "latch top" and "from wire side" or "from mating side"
// Needs   colours in IEC 60757 letters or in colour words of `notations`; other letters are read together
//         (text/colour.h), because one letter may stand for two colours
// Gives   the observation as find_plug takes it. "r1c1=YE/BU r1c2=-" works too: a new position starts a new
//         item
// Fails   what is not understood is a Problem with its column and an example, and the rest is used
// Cost    linear in the text
#pragma once

#include <span>
#include <string_view>

#include "plug/plug.h"
#include "text/colour.h"

namespace loomgraft {

struct ObservationReading {
  Observation observation;
  Problems problems;
};

ObservationReading read_observation(std::string_view text, std::span<const ColourNotation> notations);

}  // namespace loomgraft
