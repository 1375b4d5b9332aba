// Text as words to compare, whatever the case and the accents.
//
// Gives   runs of letters and digits in the order of the text, each with its letters as small Latin letters without
//         accents ("Zündpille" gives "zundpille"; sharp s gives one s) and a note of whether it was all capitals.
//         Letters of other scripts are kept as they are
// Cost    linear
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

struct FoldedWord {
  std::string text;
  bool capitals = false;  // at least one letter, and no small one
};

std::vector<FoldedWord> folded_words(std::string_view text);

// "Zündpille" as "Zuendpille", sharp s as ss.
std::string umlauts_spelled_out(std::string text);

// The same words without anything between them.
std::string folded_together(std::string_view text);

}  // namespace loomgraft
