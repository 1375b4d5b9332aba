// The electrical class of a pin from everything a table says about it, with the grounds.
//
// Model   an explicit type column weighs most, with these exceptions: a loose type ("gnd", "outputs", "12v") of
//         the family of the signal's name leaves the choice within it to the name; names that can mean one thing
//         only (CAN, shield, throttle motor, coil trigger, knock) outrank a type that contradicts them. Then the
//         signal's name; direction, activation ("ground when on") and remarks decide what these leave open; last
//         what the wire leads to. In a type cell a direction goes before volts: "AIN (5V)" is an input. Words in
//         data/class_words.csv
// Gives   PinClass::unknown, and no grounds, where nothing tells the class; a contradiction where two of the
//         clues exclude each other, to be shown as a doubt
#pragma once

#include <string>
#include <string_view>

#include "standards/pin_class.h"

namespace loomgraft::gather {

struct ClassClues {
  std::string_view type;        // text of a type or class column
  std::string_view direction;   // text of a direction column
  std::string_view hint;        // SignalName::class_hint
  std::string_view signal;      // the wording
  std::string_view note;        // remarks in the signal's cell and of other columns
  std::string_view activation;  // what a column of that name says
  std::string_view far_end;     // what the wire leads to
};

struct ClassGuess {
  PinClass pin_class = PinClass::unknown;
  std::string grounds;        // "type \"ls\"", "signal \"fuel pump relay\""
  std::string contradiction;  // empty where the clues agree
};

ClassGuess guess_class(const ClassClues& clues);

}  // namespace loomgraft::gather
