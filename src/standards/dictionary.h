// The signal dictionary, the colour notations and the DIN terminal numbers that the program carries
// (data/terms.csv, data/terminals.csv, data/colours.csv). Each is read once, on first use.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "text/colour.h"
#include "text/signal.h"

namespace loomgraft {

const TermDictionary& term_dictionary();

// Commoner notations first; those named "words ..." are full words, valid beside any notation.
std::span<const ColourNotation> colour_notations();

// A terminal number of DIN 72552 and what the program makes of it.
struct TerminalNumber {
  std::string number;   // "15", "30a", "31"
  std::string meaning;  // as the standard's excerpts say
  std::string term;     // dictionary term, empty where none fits
  std::string class_hint;
};
std::span<const TerminalNumber> terminal_numbers();

// nullptr where the number is not in the list. "15A" is not "15a": case counts.
const TerminalNumber* find_terminal(std::string_view number);

}  // namespace loomgraft
