#include "standards/dictionary.h"

#include <algorithm>
#include <array>
#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "standards/data_table.h"
#include "text/fold.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

// How people write "terminal" before a DIN number.
constexpr std::array<std::string_view, 7> terminal_words{"kl",    "klemme", "term",  "terminal",
                                                         "borne", "klem",   "klemma"};

std::string spaced(std::string_view number) {
  std::string result;
  for (const NameWord& word : split_name(number, [](std::string_view) { return true; }).words) {
    if (!result.empty()) result += ' ';
    result += word.text;
  }
  return result;
}

void add_terminals(std::vector<TermPhrase>& phrases) {
  const DataTable table("terminals.csv");
  const std::size_t number = table.column("terminal");
  const std::size_t term = table.column("term");
  const std::size_t words = table.column("words");
  const std::size_t hint = table.column("class_hint");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.at(row, term).empty() && table.at(row, hint).empty()) continue;
    const std::string digits = spaced(table.at(row, number));
    for (const std::string_view word : terminal_words) {
      phrases.push_back(
          {std::string(word) + ' ' + digits, table.at(row, term), table.at(row, words), table.at(row, hint)});
    }
  }
}

void add_phrases(std::string_view file, std::vector<TermPhrase>& phrases) {
  const DataTable table(file);
  const std::size_t phrase = table.column("phrase");
  const std::size_t term = table.column("term");
  const std::size_t words = table.column("words");
  const std::size_t hint = table.column("class_hint");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    phrases.push_back(
        {table.at(row, phrase), table.at(row, term), table.at(row, words), table.at(row, hint)});
  }
}

std::set<std::string> words_of(std::span<const TermPhrase> phrases) {
  std::set<std::string> words;
  for (const TermPhrase& phrase : phrases) {
    std::istringstream text(phrase.phrase);
    for (std::string word; text >> word;) words.insert(word);
  }
  return words;
}

// "öl" is "oel" but not "ol".
constexpr std::size_t shortest_without_accents = 4;

// "zündung", "zuendung" and "zundung" are one word, and so are "température" and "temperature". A word of the first
// table keeps its accents where that table has another word without them: Turkish "ön" (front) is not "on".
std::vector<TermPhrase> spellings_without_accents(const std::set<std::string>& terms,
                                                  const std::set<std::string>& signal_words) {
  std::set<std::string> all = terms;
  all.insert(signal_words.begin(), signal_words.end());
  std::vector<TermPhrase> spellings;
  for (const std::string& word : all) {
    if (std::ranges::all_of(word, [](char c) { return static_cast<unsigned char>(c) < 0x80; })) continue;
    const std::string plain = folded_together(word);
    const std::string spelled_out = folded_together(umlauts_spelled_out(word));
    const bool other_word = terms.contains(plain) && !signal_words.contains(word);
    const bool too_short = plain.size() < shortest_without_accents && !terms.contains(plain);
    if (plain.empty() || other_word || too_short) {
      if (spelled_out != plain) spellings.push_back({spelled_out, "", "=" + word, ""});
      continue;
    }
    spellings.push_back({word, "", "=" + plain, ""});
    if (spelled_out != plain) spellings.push_back({spelled_out, "", "=" + plain, ""});
  }
  return spellings;
}

TermDictionary load_terms() {
  std::vector<TermPhrase> terms, signal_words;
  add_phrases("terms.csv", terms);
  add_phrases("signal_words.csv", signal_words);
  std::vector<TermPhrase> phrases = spellings_without_accents(words_of(terms), words_of(signal_words));
  phrases.insert(phrases.end(), terms.begin(), terms.end());
  phrases.insert(phrases.end(), signal_words.begin(), signal_words.end());
  add_terminals(phrases);
  return TermDictionary(phrases);
}

std::vector<ColourNotation> load_colours() {
  std::vector<ColourNotation> notations;
  const DataTable table("colours.csv");
  const std::size_t scheme = table.column("scheme");
  const std::size_t code = table.column("code");
  const std::size_t colour = table.column("colour");
  const std::size_t form = table.column("form");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string& name = table.at(row, scheme);
    if (notations.empty() || notations.back().name != name)
      notations.push_back({name, {}, table.at(row, form) == "words"});
    notations.back().codes.emplace_back(table.at(row, code), table.at(row, colour));
  }
  return notations;
}

}  // namespace

const TermDictionary& term_dictionary() {
  static const TermDictionary dictionary = load_terms();
  return dictionary;
}

std::span<const ColourNotation> colour_notations() {
  static const std::vector<ColourNotation> notations = load_colours();
  return notations;
}

}  // namespace loomgraft
