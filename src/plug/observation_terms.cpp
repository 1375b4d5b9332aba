#include "plug/observation_terms.h"

#include <algorithm>
#include <array>
#include <span>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft::plug {
namespace {

using Kind = ObservationTermKind;

constexpr int most_number = 999;  // no plug has more rows or columns

constexpr std::array empty_words{"empty", "blank", "vacant", "unused", "nothing", "none", "-", "--"};
constexpr std::array wire_words{"wire", "wires", "used", "occupied", "populated", "terminal"};
constexpr std::array large_words{"large", "big", "wide", "thick", "fat"};
constexpr std::array small_words{"small", "little", "narrow", "thin"};
constexpr std::array somewhere_words{"somewhere", "anywhere"};
constexpr std::array latch_words{"latch", "tab", "lock", "clip", "lever"};
constexpr std::array top_words{"top", "up", "upward", "upwards", "above"};
constexpr std::array bottom_words{"bottom", "down", "downward", "downwards", "below", "under", "underneath"};
constexpr std::array left_words{"left"};
constexpr std::array right_words{"right"};
constexpr std::array wire_side_words{"wire", "wires",   "rear",  "back",
                                     "loom", "harness", "cable", "insertion"};
constexpr std::array mating_side_words{"mating", "front", "terminal", "contact", "pin"};
constexpr std::array side_words{"side", "entry", "end", "face", "view"};
constexpr std::array filler_words{
    "the",     "is",     "are",      "of",      "at",     "on",       "in",     "from", "seen",
    "looking", "looked", "it",       "to",      "hole",   "holes",    "cavity", "plug", "stripe",
    "tracer",  "line",   "coloured", "colored", "light",  "dark",     "pale",   "side", "entry",
    "end",     "face",   "view",     "bright",  "faded",  "dirty",    "i",      "see",  "saw",
    "there",   "trace",  "striped",  "towards", "facing", "terminals"};
constexpr std::array count_words{"a", "two", "three", "four", "five", "six", "seven", "eight"};

bool is_one_of(std::string_view word, std::span<const char* const> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// Digits from `at` on; -1 where there are none, or more than a position can have.
int take_number(std::string_view text, std::size_t& at) {
  const std::size_t start = at;
  int number = 0;
  while (at < text.size() && is_digit(text[at])) {
    number = std::min(most_number + 1, number * 10 + (text[at] - '0'));
    ++at;
  }
  return at == start || number > most_number ? -1 : number;
}

// "r1c2", "r1-c2", "r1", "c2", "1.2". Zero and absurd numbers give -1: an impossible position.
bool read_position(ObservationTerm& term) {
  const std::string_view text = term.text;
  std::size_t at = 0;
  bool has_row = false;
  bool has_column = false;
  const auto number_here = [&](int& slot) {
    if (at >= text.size() || !is_digit(text[at])) return false;
    const int number = take_number(text, at);
    slot = number < 1 ? -1 : number;
    return true;
  };
  if (!text.empty() && is_digit(text[0])) {
    if (!number_here(term.row_number) || at >= text.size() || text[at] != '.') return false;
    ++at;
    return number_here(term.column_number) && at == text.size();
  }
  if (text.starts_with("r")) {
    ++at;
    has_row = number_here(term.row_number);
    if (!has_row) return false;
    if (at < text.size() && (text[at] == '-' || text[at] == '/' || text[at] == '.')) ++at;
  }
  if (at < text.size() && text[at] == 'c') {
    ++at;
    has_column = number_here(term.column_number);
    if (!has_column) return false;
  }
  return at == text.size() && (has_row || has_column);
}

bool read_number(ObservationTerm& term) {
  std::string_view text = term.text;
  if (text.size() > 1 && text.back() == 'x') text.remove_suffix(1);  // "2x"
  std::size_t at = 0;
  if (!text.empty() && is_digit(text[0])) {
    term.number = take_number(text, at);
    return at == text.size();
  }
  if (text == "an" || text == "one") {
    term.number = 1;
    return true;
  }
  const auto found = std::find(count_words.begin(), count_words.end(), text);
  if (found == count_words.end()) return false;
  term.number = static_cast<int>(found - count_words.begin()) + 1;
  return true;
}

Side side_of(std::string_view text) {
  if (is_one_of(text, top_words)) return Side::top;
  if (is_one_of(text, bottom_words)) return Side::bottom;
  if (is_one_of(text, left_words)) return Side::left;
  return is_one_of(text, right_words) ? Side::right : Side::unknown;
}

Kind kind_of(ObservationTerm& term) {
  const std::string_view text = term.text;
  if (read_position(term)) return Kind::position;
  term.row_number = term.column_number = 0;
  if (text == "row" || text == "r") return Kind::row;
  if (text == "column" || text == "col" || text == "c") return Kind::column;
  if (text == "and" || text == "&") return Kind::separator;
  if (text == "with" || text == "/") return Kind::tracer;
  if (read_number(term)) return Kind::number;
  if (is_one_of(text, empty_words)) return Kind::empty;
  if (text == "mating") {
    term.view = View::mating;
    return Kind::view;
  }
  if (is_one_of(text, wire_words)) return Kind::wire;
  if (is_one_of(text, large_words) || is_one_of(text, small_words)) {
    term.large = is_one_of(text, large_words);
    return Kind::size;
  }
  if (is_one_of(text, somewhere_words)) return Kind::somewhere;
  if (is_one_of(text, latch_words)) return Kind::latch;
  term.side = side_of(text);
  if (term.side != Side::unknown) return Kind::side;
  return is_one_of(text, filler_words) ? Kind::filler : Kind::other;
}

// "wire-side" and "wire_entry" are two terms; "yellow-blue" is not.
bool splits_before_side(std::string_view text, std::size_t& cut) {
  cut = text.find_first_of("-_");
  return cut != std::string_view::npos && cut > 0 && is_one_of(lower_case(text.substr(cut + 1)), side_words);
}

void add_term(std::string_view raw, std::size_t at, std::vector<ObservationTerm>& terms) {
  std::size_t cut = 0;
  if (splits_before_side(raw, cut)) {
    add_term(raw.substr(0, cut), at, terms);
    add_term(raw.substr(cut + 1), at + cut + 1, terms);
    return;
  }
  ObservationTerm term;
  term.raw = raw;
  term.column = static_cast<int>(at) + 1;
  std::string_view bare = raw;
  while (!bare.empty() && std::string_view("?!.()[]\"'").find(bare.back()) != std::string_view::npos) {
    term.unsure = term.unsure || bare.back() == '?';
    bare.remove_suffix(1);
  }
  while (!bare.empty() && std::string_view("([\"'").find(bare.front()) != std::string_view::npos) {
    bare.remove_prefix(1);
  }
  if (bare.empty()) return;
  term.text = lower_case(bare);
  term.kind = kind_of(term);
  terms.push_back(std::move(term));
}

// "wire", "front" and "terminal" are views before "side"; elsewhere they keep their own meaning.
void find_views(std::vector<ObservationTerm>& terms) {
  for (std::size_t i = 0; i + 1 < terms.size(); ++i) {
    if (!is_one_of(terms[i + 1].text, side_words)) continue;
    if (is_one_of(terms[i].text, wire_side_words)) terms[i].view = View::wire_entry;
    if (is_one_of(terms[i].text, mating_side_words)) terms[i].view = View::mating;
    if (terms[i].view != View::unknown) terms[i].kind = Kind::view;
  }
}

}  // namespace

std::vector<ObservationTerm> observation_terms(std::string_view text) {
  std::vector<ObservationTerm> terms;
  std::size_t start = 0;
  for (std::size_t at = 0; at <= text.size(); ++at) {
    const char c = at < text.size() ? text[at] : '\n';
    const bool separates = c == ',' || c == ';' || c == '\n';
    const bool blank = c == ' ' || c == '\t' || c == '\r' || c == '=' || c == ':';
    if (!separates && !blank) continue;
    if (at > start) add_term(text.substr(start, at - start), start, terms);
    start = at + 1;
    if (separates) {
      ObservationTerm separator;
      separator.kind = Kind::separator;
      separator.column = static_cast<int>(at) + 1;
      terms.push_back(std::move(separator));
    }
  }
  find_views(terms);
  return terms;
}

}  // namespace loomgraft::plug
