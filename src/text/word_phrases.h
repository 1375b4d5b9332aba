// Phrases of one or more whole words, found in the names and remarks that people write.
//
// Model   upper and lower case are one, accents are dropped and German umlauts written out ("ü" is "ue");
//         everything but letters and digits separates words, letters and digits do not. A phrase that ends in
//         "*" also takes longer words ("anlasser*": Anlasserrelais). From each word on the longest phrase is
//         taken, and its words are in no other.
// Gives   what each phrase stands for, in the order of the text
// Cost    linear in the text, with some twenty comparisons a word
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

// Words of a text as phrases are compared with.
std::vector<std::string> plain_words(std::string_view text);

class WordPhrases {
 public:
  // `phrases`: separated by ";". Their order does not matter.
  void add(std::string_view phrases, std::size_t stands_for);
  std::vector<std::size_t> find(std::string_view text) const;

 private:
  struct Phrase {
    std::vector<std::string> words;
    bool open = false;  // the last word may go on
    std::size_t stands_for = 0;
  };
  static std::size_t words_taken(const Phrase& phrase, const std::vector<std::string>& words, std::size_t at);

  std::array<std::vector<Phrase>, 256> by_first_byte_;  // longest first
};

}  // namespace loomgraft
