#include "text/word_phrases.h"

#include <algorithm>
#include <utility>

#include "base/ascii.h"
#include "text/fold.h"

namespace loomgraft {
std::vector<std::string> plain_words(std::string_view text) {
  std::vector<std::string> words;
  for (FoldedWord& word : folded_words(umlauts_spelled_out(std::string(text))))
    words.push_back(std::move(word.text));
  return words;
}

void WordPhrases::add(std::string_view phrases, std::size_t stands_for) {
  while (!phrases.empty()) {
    const std::size_t end = std::min(phrases.find(';'), phrases.size());
    const std::string_view text = trimmed(phrases.substr(0, end));
    phrases.remove_prefix(std::min(end + 1, phrases.size()));
    Phrase phrase{plain_words(text), text.ends_with('*'), stands_for};
    if (phrase.words.empty()) continue;
    auto& list = by_first_byte_[static_cast<unsigned char>(phrase.words.front().front())];
    list.push_back(std::move(phrase));
    std::stable_sort(list.begin(), list.end(), [](const Phrase& a, const Phrase& b) {
      return a.words.size() != b.words.size() ? a.words.size() > b.words.size()
                                              : a.words.back().size() > b.words.back().size();
    });
  }
}

// How many words from `at` on the phrase takes; 0 where it does not stand there.
std::size_t WordPhrases::words_taken(const Phrase& phrase, const std::vector<std::string>& words,
                                     std::size_t at) {
  const std::size_t count = phrase.words.size();
  if (at + count > words.size()) return 0;
  for (std::size_t k = 0; k < count; ++k) {
    const std::string& wanted = phrase.words[k];
    const std::string& word = words[at + k];
    const bool plural = word.size() == wanted.size() + 1 && word.back() == 's' && word.starts_with(wanted);
    const bool goes_on = phrase.open && k + 1 == count && word.starts_with(wanted);
    if (word != wanted && !goes_on && !(plural && wanted.size() > 2)) return 0;
  }
  return count;
}

std::vector<std::size_t> WordPhrases::find(std::string_view text) const {
  std::vector<std::size_t> found;
  const std::vector<std::string> words = plain_words(text);
  for (std::size_t at = 0; at < words.size();) {
    std::size_t taken = 0;
    for (const Phrase& phrase : by_first_byte_[static_cast<unsigned char>(words[at].front())]) {
      taken = words_taken(phrase, words, at);
      if (taken == 0) continue;
      found.push_back(phrase.stands_for);
      break;
    }
    at += std::max<std::size_t>(taken, 1);
  }
  return found;
}

}  // namespace loomgraft
