#include "text/word_phrases.h"

#include <algorithm>
#include <utility>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

// Letters of Latin-1 in lower case and what they are written as without their marks.
constexpr std::array<std::pair<std::string_view, std::string_view>, 22> plain_letters{
    {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"ß", "ss"}, {"à", "a"}, {"á", "a"}, {"â", "a"}, {"ã", "a"},
     {"å", "a"},  {"ç", "c"},  {"è", "e"},  {"é", "e"},  {"ê", "e"}, {"ë", "e"}, {"í", "i"}, {"î", "i"},
     {"ñ", "n"},  {"ó", "o"},  {"ô", "o"},  {"ø", "o"},  {"ú", "u"}, {"û", "u"}}};

bool part_of_word(char c) {
  return is_digit(c) || is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
}

std::size_t append_plain(std::string& word, std::string_view text) {
  if (static_cast<unsigned char>(text.front()) >= 0x80) {
    for (const auto& [letter, plain] : plain_letters) {
      if (!text.starts_with(letter)) continue;
      word += plain;
      return letter.size();
    }
  }
  word += text.front();
  return 1;
}

}  // namespace

std::vector<std::string> plain_words(std::string_view text) {
  std::vector<std::string> words;
  const std::string lower = lower_case(text);
  std::string word;
  for (std::size_t i = 0; i < lower.size();) {
    if (part_of_word(lower[i])) {
      i += append_plain(word, std::string_view(lower).substr(i));
      continue;
    }
    if (!word.empty()) words.push_back(std::move(word));
    word.clear();
    ++i;
  }
  if (!word.empty()) words.push_back(std::move(word));
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
