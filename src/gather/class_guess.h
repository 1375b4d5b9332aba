// The electrical class of a pin from everything a table says about it.
//
// Model   an explicit type column weighs most, unless it is loose ("gnd", "outputs", "12v") and the signal's
//         own name tells which class of that family; then the signal's name; the direction and remarks
//         ("switched to ground") decide what these leave open. Words in data/class_words.csv.
// Gives   PinClass::unknown where nothing tells the class
#pragma once

#include <string_view>

#include "standards/pin_class.h"

namespace loomgraft::gather {

struct ClassClues {
  std::string_view type;       // text of a type or class column
  std::string_view direction;  // text of a direction column
  std::string_view hint;       // SignalName::class_hint
  std::string_view note;
};

PinClass guess_class(const ClassClues& clues);

}  // namespace loomgraft::gather
