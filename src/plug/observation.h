// What a person saw of a plug, from the words they typed.
//
// Model   a glimpse is a list of sightings, separated by commas, semicolons or new lines: a place ("r1c2",
//         "row 1 column 2", "1.2"; none or "somewhere" for a place not known) and what is there: a colour
//         ("YE/BU", "yellow/blue", "black with white stripe", "two blacks"), "empty" or "-", "large" or
//         "small"; and, once, "latch top" and "from wire side" or "from mating side"
// Needs   colours in IEC 60757 letters or in words of `notations`; other letters are read as a whole glimpse
//         (text/colour.h), because one letter may stand for two colours
// Gives   the glimpse as find_plug takes it. "r1c1=YE/BU r1c2=-" works too: a new place starts a new sighting
// Fails   what is not understood is a Problem with its column and an example, and the rest is used
// Cost    linear in the text
#pragma once

#include <span>
#include <string_view>

#include "plug/plug.h"
#include "text/colour.h"

namespace loomgraft {

struct GlimpseReading {
  Glimpse glimpse;
  Problems problems;
};

GlimpseReading read_glimpse(std::string_view text, std::span<const ColourNotation> notations);

}  // namespace loomgraft
