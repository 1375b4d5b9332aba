// The signal dictionary, with the wordings of nine languages and the terminal numbers of DIN 72552, and the colour
// notations (data/terms.csv, data/signal_words.csv, data/terminals.csv, data/colours.csv). Each is read once, on
// first use. Where two files have one phrase, the first of them counts. Accents may be left out ("zundung",
// "zuendung").
#pragma once

#include <span>

#include "text/colour.h"
#include "text/signal.h"

namespace loomgraft {

const TermDictionary& term_dictionary();

// The most common notation first.
std::span<const ColourNotation> colour_notations();

}  // namespace loomgraft
