#include "plug/observation_terms.h"

#include <algorithm>
#include <array>
#include <span>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft::plug {
namespace {

using Kind = GlimpseWordKind;

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

// Digits from `at` on; -1 where there are none, or more than a place can have.
int take_number(std::string_view text, std::size_t& at) {
  const std::size_t start = at;
  int number = 0;
  while (at < text.size() && is_digit(text[at])) {
    number = std::min(most_number + 1, number * 10 + (text[at] - '0'));
    ++at;
  }
  return at == start || number > most_number ? -1 : number;
}

// "r1c2", "r1-c2", "r1", "c2", "1.2". Zero and numbers beyond reason give -1: a place that cannot be.
bool read_place(GlimpseWord& word) {
  const std::string_view text = word.text;
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
    if (!number_here(word.row_number) || at >= text.size() || text[at] != '.') return false;
    ++at;
    return number_here(word.column_number) && at == text.size();
  }
  if (text.starts_with("r")) {
    ++at;
    has_row = number_here(word.row_number);
    if (!has_row) return false;
    if (at < text.size() && (text[at] == '-' || text[at] == '/' || text[at] == '.')) ++at;
  }
  if (at < text.size() && text[at] == 'c') {
    ++at;
    has_column = number_here(word.column_number);
    if (!has_column) return false;
  }
  return at == text.size() && (has_row || has_column);
}

bool read_number(GlimpseWord& word) {
  std::string_view text = word.text;
  if (text.size() > 1 && text.back() == 'x') text.remove_suffix(1);  // "2x"
  std::size_t at = 0;
  if (!text.empty() && is_digit(text[0])) {
    word.number = take_number(text, at);
    return at == text.size();
  }
  if (text == "an" || text == "one") {
    word.number = 1;
    return true;
  }
  const auto found = std::find(count_words.begin(), count_words.end(), text);
  if (found == count_words.end()) return false;
  word.number = static_cast<int>(found - count_words.begin()) + 1;
  return true;
}

Side side_of(std::string_view text) {
  if (is_one_of(text, top_words)) return Side::top;
  if (is_one_of(text, bottom_words)) return Side::bottom;
  if (is_one_of(text, left_words)) return Side::left;
  return is_one_of(text, right_words) ? Side::right : Side::unknown;
}

Kind kind_of(GlimpseWord& word) {
  const std::string_view text = word.text;
  if (read_place(word)) return Kind::place;
  word.row_number = word.column_number = 0;
  if (text == "row" || text == "r") return Kind::row;
  if (text == "column" || text == "col" || text == "c") return Kind::column;
  if (text == "and" || text == "&") return Kind::separator;
  if (text == "with" || text == "/") return Kind::tracer;
  if (read_number(word)) return Kind::number;
  if (is_one_of(text, empty_words)) return Kind::empty;
  if (text == "mating") {
    word.view = View::mating;
    return Kind::view;
  }
  if (is_one_of(text, wire_words)) return Kind::wire;
  if (is_one_of(text, large_words) || is_one_of(text, small_words)) {
    word.large = is_one_of(text, large_words);
    return Kind::size;
  }
  if (is_one_of(text, somewhere_words)) return Kind::somewhere;
  if (is_one_of(text, latch_words)) return Kind::latch;
  word.side = side_of(text);
  if (word.side != Side::unknown) return Kind::side;
  return is_one_of(text, filler_words) ? Kind::filler : Kind::other;
}

// "wire-side" and "wire_entry" are two words; "yellow-blue" is not.
bool splits_before_side(std::string_view text, std::size_t& cut) {
  cut = text.find_first_of("-_");
  return cut != std::string_view::npos && cut > 0 && is_one_of(lower_case(text.substr(cut + 1)), side_words);
}

void add_word(std::string_view raw, std::size_t at, std::vector<GlimpseWord>& words) {
  std::size_t cut = 0;
  if (splits_before_side(raw, cut)) {
    add_word(raw.substr(0, cut), at, words);
    add_word(raw.substr(cut + 1), at + cut + 1, words);
    return;
  }
  GlimpseWord word;
  word.raw = raw;
  word.column = static_cast<int>(at) + 1;
  std::string_view bare = raw;
  while (!bare.empty() && std::string_view("?!.()[]\"'").find(bare.back()) != std::string_view::npos) {
    word.unsure = word.unsure || bare.back() == '?';
    bare.remove_suffix(1);
  }
  while (!bare.empty() && std::string_view("([\"'").find(bare.front()) != std::string_view::npos) {
    bare.remove_prefix(1);
  }
  if (bare.empty()) return;
  word.text = lower_case(bare);
  word.kind = kind_of(word);
  words.push_back(std::move(word));
}

// "wire" before "side" is a view, and so are "front" and "terminal"; elsewhere they are what they are.
void find_views(std::vector<GlimpseWord>& words) {
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    if (!is_one_of(words[i + 1].text, side_words)) continue;
    if (is_one_of(words[i].text, wire_side_words)) words[i].view = View::wire_entry;
    if (is_one_of(words[i].text, mating_side_words)) words[i].view = View::mating;
    if (words[i].view != View::unknown) words[i].kind = Kind::view;
  }
}

}  // namespace

std::vector<GlimpseWord> glimpse_words(std::string_view text) {
  std::vector<GlimpseWord> words;
  std::size_t start = 0;
  for (std::size_t at = 0; at <= text.size(); ++at) {
    const char c = at < text.size() ? text[at] : '\n';
    const bool separates = c == ',' || c == ';' || c == '\n';
    const bool blank = c == ' ' || c == '\t' || c == '\r' || c == '=' || c == ':';
    if (!separates && !blank) continue;
    if (at > start) add_word(text.substr(start, at - start), start, words);
    start = at + 1;
    if (separates) {
      GlimpseWord separator;
      separator.kind = Kind::separator;
      separator.column = static_cast<int>(at) + 1;
      words.push_back(std::move(separator));
    }
  }
  find_views(words);
  return words;
}

}  // namespace loomgraft::plug
