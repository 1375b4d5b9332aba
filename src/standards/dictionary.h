// The signal dictionary and the colour notations that the program carries (data/terms.csv, data/colours.csv).
#pragma once

#include <span>

#include "text/colour.h"
#include "text/signal.h"

namespace loomgraft {

const TermDictionary& term_dictionary();
std::span<const ColourNotation> colour_notations();

}  // namespace loomgraft
