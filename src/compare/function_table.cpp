#include "compare/function_table.h"

#include <algorithm>

#include "contention/qualifiers.h"
#include "text/word_phrases.h"

namespace loomgraft {
namespace {

// The weight of a similarity; common practice, no source. Set so that a term alone is accepted and a word
// alone is asked.
constexpr double same_term = 0.75;
constexpr double no_terms = 1.0;
constexpr double one_term = 0.7;
constexpr double other_term = 0.3;
constexpr double differing_qualifier = 0.35;
constexpr double missing_qualifier = 0.85;

bool is_number(std::string_view word) {
  return !word.empty() && std::all_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// "bank2", "s1": what the dictionary makes of "bank 2" and of "sensor 1" beside it.
bool is_place_number(std::string_view word) {
  for (const std::string_view noun : {std::string_view("bank"), std::string_view("s")}) {
    if (word.starts_with(noun) && is_number(word.substr(noun.size()))) return true;
  }
  return false;
}

Function::Kind kind_of(std::string_view word) {
  constexpr std::array<std::string_view, 8> polarities{"+",    "-",     "high",     "low",
                                                       "plus", "minus", "positive", "negative"};
  constexpr std::array<std::string_view, 12> sides{"left",  "right", "front",    "rear",
                                                   "upper", "lower", "inner",    "outer",
                                                   "up",    "down",  "upstream", "downstream"};
  if (is_number(word) || is_place_number(word)) return Function::number;
  if (std::find(polarities.begin(), polarities.end(), word) != polarities.end()) return Function::polarity;
  if (std::find(sides.begin(), sides.end(), word) != sides.end()) return Function::side;
  return Function::plain;
}

// "-", "low" and "negative" say the same of one wire of a pair.
std::string sign_of(std::string_view word) {
  const bool positive = word == "+" || word == "high" || word == "plus" || word == "positive";
  return positive ? "+" : "-";
}

std::size_t shared_count(const std::vector<std::uint32_t>& a, const std::vector<std::uint32_t>& b) {
  std::size_t shared = 0;
  for (std::size_t i = 0, j = 0; i < a.size() && j < b.size();) {
    if (a[i] == b[j]) {
      ++shared;
      ++i;
      ++j;
    } else if (a[i] < b[j]) {
      ++i;
    } else {
      ++j;
    }
  }
  return shared;
}

// Dice coefficient: twice the shared words over all words. Two empty lists are alike.
double overlap(const std::vector<std::uint32_t>& a, const std::vector<std::uint32_t>& b) {
  if (a.empty() && b.empty()) return 1.0;
  return 2.0 * static_cast<double>(shared_count(a, b)) / static_cast<double>(a.size() + b.size());
}

double qualifier_factor(const Function& a, const Function& b) {
  double factor = 1.0;
  for (const auto kind : {Function::number, Function::polarity, Function::side}) {
    const auto& x = a.words[kind];
    const auto& y = b.words[kind];
    if (x == y) continue;
    factor *= x.empty() || y.empty() ? missing_qualifier : differing_qualifier;
  }
  for (const auto kind : {Function::rank, Function::letter}) {
    const auto& x = a.words[kind];
    const auto& y = b.words[kind];
    if (!x.empty() && !y.empty() && x != y) factor *= differing_qualifier;
  }
  return factor;
}

void sort_unique(std::vector<std::uint32_t>& list) {
  std::sort(list.begin(), list.end());
  list.erase(std::unique(list.begin(), list.end()), list.end());
}

std::uint64_t signature_bit(std::uint32_t id) {
  return std::uint64_t{1} << ((id * 0x9e3779b1u) >> 26);
}

}  // namespace

FunctionTable::FunctionTable(const TermDictionary& dictionary) : dictionary_(dictionary), functions_(1) {}

std::uint32_t FunctionTable::intern(const std::string& word) {
  return words_.emplace(word, static_cast<std::uint32_t>(words_.size() + 1)).first->second;
}

Function FunctionTable::function_of(const SignalName& name) {
  Function function;
  if (!name.term.empty()) {
    function.term = intern("term " + name.term);
    function.signature |= signature_bit(function.term);
  }
  for (const std::string& word : name.words) {
    const Function::Kind kind = kind_of(word);
    const std::uint32_t id = intern(kind == Function::polarity ? sign_of(word) : word);
    function.words[kind].push_back(id);
    if (kind == Function::plain) function.signature |= signature_bit(id);
    const Qualifier& qualifier = qualifier_of(word);
    if (qualifier.kind == QualifierKind::rank)
      function.words[Function::rank].push_back(intern(qualifier.means));
  }
  for (auto& list : function.words) sort_unique(list);
  return function;
}

FunctionId FunctionTable::add(std::string_view text) {
  const auto known = by_text_.find(std::string(text));
  if (known != by_text_.end()) return known->second;
  FunctionId id = 0;
  const SignalName name = dictionary_.normalise(text);
  if (!name.absent && (!name.term.empty() || !name.words.empty())) {
    Function function = function_of(name);
    // The dictionary takes a last "A" for an article.
    const std::vector<std::string> words = plain_words(text);
    if (words.size() > 1 && qualifier_of(words.back()).kind == QualifierKind::letter)
      function.words[Function::letter].push_back(intern(words.back()));
    std::string meaning = std::to_string(function.term);
    for (const auto& list : function.words) {
      meaning += '|';
      for (const std::uint32_t word : list) meaning += std::to_string(word) + ',';
    }
    const auto [place, is_new] = by_meaning_.emplace(meaning, static_cast<FunctionId>(functions_.size()));
    if (is_new) functions_.push_back(std::move(function));
    id = place->second;
  }
  by_text_.emplace(text, id);
  return id;
}

double FunctionTable::similarity(FunctionId a, FunctionId b) const {
  if (a == 0 || b == 0) return 0.0;
  if (a == b) return 1.0;
  const Function& x = functions_[a];
  const Function& y = functions_[b];
  // Functions made of qualifiers only ("left +") have an empty signature and are compared by those.
  const bool both_bare = x.signature == 0 && y.signature == 0;
  if (!both_bare && (x.signature & y.signature) == 0) return 0.0;
  const double words = overlap(x.words[Function::plain], y.words[Function::plain]);
  double result = words;
  if (x.term != 0 && y.term != 0) {
    result = x.term == y.term ? same_term + (1.0 - same_term) * words : other_term * words;
  } else {
    result *= x.term == y.term ? no_terms : one_term;
  }
  return result * qualifier_factor(x, y);
}

}  // namespace loomgraft
