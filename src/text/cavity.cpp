// A cell is first freed of words and marks around the name, then cut into the items of a list; each item is
// one name, a connector with a cavity, or a range. Whatever fits no form stays one name as it is, with a
// doubt where it may mean something else.
#include "text/cavity.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

constexpr int kMostCavities = 200;
constexpr std::size_t kLongestName = 64;
constexpr std::size_t kLongestForm = 8;  // bytes of "A123bc" and the like

// Cuts a leading "Pin", "Pins", "Terminal" ... off; the word must be followed by a blank, a mark or a number.
std::string_view without_lead_word(std::string_view text) {
  constexpr std::array<std::string_view, 16> words{
      "pins",  "pin",     "terminals", "terminal", "term", "cavity", "kontakt", "stift",
      "borne", "contact", "klemme",    "no",       "nr",   "pos",    "ben",     "broche"};
  std::size_t letters = 0;
  while (letters < text.size() && is_letter(text[letters])) ++letters;
  if (letters < 2 || letters > 9) return text;
  if (letters == text.size())
    return std::find(words.begin(), words.end(), lower_case(text)) == words.end() ? text : "";
  const std::string lead = lower_case(text.substr(0, letters));
  if (std::find(words.begin(), words.end(), lead) == words.end()) return text;
  const char next = text[letters];
  if (!is_digit(next) && !is_blank(next) && next != '.' && next != '#' && next != ':') return text;
  return trimmed(text.substr(letters), ".#:");
}

// "1.0" is what a spreadsheet makes of 1.
std::string_view without_spreadsheet_zero(std::string_view text) {
  const std::size_t dot = text.find('.');
  if (dot == std::string_view::npos || dot == 0) return text;
  if (!std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(dot), is_digit)) return text;
  const std::string_view after = text.substr(dot + 1);
  return after == "0" || after == "00" ? text.substr(0, dot) : text;
}

std::string_view cleaned(std::string_view text) {
  text = trimmed(text, "*`_");
  if (text.size() > 1 &&
      ((text.front() == '(' && text.back() == ')') || (text.front() == '[' && text.back() == ']'))) {
    text = trimmed(text.substr(1, text.size() - 2));
  }
  text = trimmed(text, "#:*");
  text = without_lead_word(text);
  text = without_spreadsheet_zero(text);
  while (text.size() > 1 && text.back() == '.') text.remove_suffix(1);
  return trimmed(text);
}

// Leading zeros of the first number go: "01" -> "1", "A07" -> "A7"; "0" stays.
std::string canonical(std::string_view text) {
  std::string result;
  std::size_t i = 0;
  while (i < text.size() && !is_digit(text[i])) result += text[i++];
  while (i + 1 < text.size() && text[i] == '0' && is_digit(text[i + 1])) ++i;
  result += text.substr(i);
  return result;
}

// Letters, digits, letters; at least one digit, or one or two letters alone.
bool is_cavity_form(std::string_view text) {
  if (text.empty() || text.size() > kLongestForm) return false;
  std::size_t i = 0;
  while (i < text.size() && is_letter(text[i])) ++i;
  const std::size_t lead = i;
  while (i < text.size() && is_digit(text[i])) ++i;
  const std::size_t digits = i - lead;
  while (i < text.size() && is_letter(text[i])) ++i;
  if (i != text.size()) return false;
  const std::size_t tail = i - lead - digits;
  if (digits == 0) return text.size() <= 2;
  return digits <= 4 && lead <= 3 && tail <= 2;
}

bool all_digits(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), is_digit);
}

// A connector's name before a dash or slash: letters and a number ("C101"), or a number ("4") where the
// column says so.
bool is_connector_form(std::string_view text) {
  if (text.size() < 2 || text.size() > kLongestForm || !is_letter(text[0])) return false;
  return is_digit(text.back()) && is_cavity_form(text);
}

struct Pair {
  std::string_view left;
  std::string_view right;
  char mark = '-';
};

// "X-Y", "X/Y", "X..Y", "X to Y", with a dash of any width; nothing where there are more or fewer parts.
std::optional<Pair> two_parts(std::string_view text) {
  constexpr std::array<std::pair<std::string_view, char>, 8> marks{{{"\xE2\x80\x93", '-'},
                                                                    {"\xE2\x80\x94", '-'},
                                                                    {"..", '.'},
                                                                    {" to ", '.'},
                                                                    {" bis ", '.'},
                                                                    {" - ", '-'},
                                                                    {"-", '-'},
                                                                    {"/", '/'}}};
  for (const auto& [mark, kind] : marks) {
    const std::size_t at = text.find(mark);
    if (at == std::string_view::npos) continue;
    const Pair pair{trimmed(text.substr(0, at), "."),
                    without_lead_word(trimmed(text.substr(at + mark.size()), ".")), kind};
    if (is_cavity_form(pair.left) && is_cavity_form(pair.right)) return pair;
    return std::nullopt;
  }
  return std::nullopt;
}

void expand_letters(char from, char to, CavityReading& reading) {
  for (char c = from; c <= to; ++c) reading.cavities.push_back({"", std::string(1, c)});
}

bool same_case(char a, char b) {
  return (a >= 'a') == (b >= 'a');
}

// A range within one row; false where the two ends do not make one.
bool expand_range(const Pair& pair, CavityReading& reading) {
  if (pair.left.size() == 1 && pair.right.size() == 1 && is_letter(pair.left[0]) &&
      is_letter(pair.right[0])) {
    if (!same_case(pair.left[0], pair.right[0]) || pair.left[0] >= pair.right[0]) return false;
    expand_letters(pair.left[0], pair.right[0], reading);
    return true;
  }
  const CavityParts from = split_cavity(pair.left);
  const CavityParts to = split_cavity(pair.right);
  if (from.row != to.row || from.tail != to.tail || !is_digit(pair.right[to.row.size()])) return false;
  if (from.number >= to.number || to.number - from.number >= kMostCavities) return false;
  for (int number = from.number; number <= to.number; ++number) {
    reading.cavities.push_back({"", from.row + std::to_string(number) + from.tail});
  }
  return true;
}

void read_pair(std::string_view text, const Pair& pair, const CavityStyle& style, CavityReading& reading) {
  const bool numbers = all_digits(pair.left) && all_digits(pair.right);
  const bool prefixed = pair.mark != '.' && is_connector_form(pair.left) && all_digits(pair.right);
  const bool by_column = numbers && pair.mark == '-' && style.dash_is_connector;
  const bool falling =
      numbers && pair.mark == '-' && split_cavity(pair.left).number >= split_cavity(pair.right).number;
  if (prefixed || by_column || falling) {
    reading.cavities.push_back({std::string(pair.left), canonical(pair.right)});
    return;
  }
  if (pair.mark != '/' && expand_range(pair, reading)) return;
  reading.cavities.push_back({"", std::string(text)});
  if (pair.mark == '/') {
    reading.doubts.push_back(fmt::format("\"{}\" may be connector ", text) + std::string(pair.left) +
                             " cavity " + std::string(pair.right) + ", or two cavities");
  } else {
    reading.doubts.push_back(fmt::format("\"{}\" looks like a range that cannot be expanded", text));
  }
}

// "4S_4T" and "16A17A" may be two cavities written together.
bool may_be_two(std::string_view text) {
  const std::size_t mark = text.find('_');
  if (mark != std::string_view::npos) {
    return is_cavity_form(text.substr(0, mark)) && is_cavity_form(text.substr(mark + 1));
  }
  if (text.size() < 4 || text.size() % 2 != 0) return false;
  const std::string_view left = text.substr(0, text.size() / 2);
  const std::string_view right = text.substr(text.size() / 2);
  return is_cavity_form(left) && is_cavity_form(right) && is_digit(left[0]) && is_digit(right[0]) &&
         is_letter(left.back()) && is_letter(right.back());
}

void read_one(std::string_view text, const CavityStyle& style, CavityReading& reading) {
  text = cleaned(text);
  if (text.empty()) return;
  if (const auto pair = two_parts(text)) {
    read_pair(text, *pair, style, reading);
    return;
  }
  reading.cavities.push_back({"", is_cavity_form(text) ? canonical(text) : std::string(text)});
  if (may_be_two(text)) {
    reading.doubts.push_back(fmt::format("\"{}\" may be two cavities written together", text));
  }
}

bool names_nothing(std::string_view text) {
  return text.find_first_not_of(" \t\r\n-.?\xE2\x80\x93\x94") == std::string_view::npos;
}

// Parts of a list; empty where the cell is not one.
std::vector<std::string_view> list_parts(std::string_view text) {
  constexpr std::array<std::string_view, 9> marks{",",     ";",    "&",    "+",  " and ",
                                                  " und ", " et ", " og ", " y "};
  std::vector<std::string_view> parts;
  std::size_t start = 0;
  for (std::size_t i = 0; i < text.size();) {
    const auto mark = std::find_if(marks.begin(), marks.end(),
                                   [&](std::string_view m) { return text.substr(i).starts_with(m); });
    if (mark == marks.end()) {
      ++i;
      continue;
    }
    parts.push_back(trimmed(text.substr(start, i - start)));
    i += mark->size();
    start = i;
  }
  if (parts.empty()) return {};
  parts.push_back(trimmed(text.substr(start)));
  return parts;
}

std::vector<std::string_view> blank_parts(std::string_view text) {
  std::vector<std::string_view> parts;
  for (std::size_t i = 0; i < text.size();) {
    std::size_t end = i;
    while (end < text.size() && !is_blank(text[end])) ++end;
    if (end > i) parts.push_back(text.substr(i, end - i));
    i = end + 1;
  }
  return parts;
}

bool is_list_item(std::string_view part) {
  part = cleaned(part);
  return is_cavity_form(part) || two_parts(part).has_value();
}

std::vector<std::string_view> items_of(std::string_view text) {
  std::vector<std::string_view> parts = list_parts(text);
  if (parts.empty()) parts = blank_parts(text);
  if (parts.size() < 2 || !std::all_of(parts.begin(), parts.end(), is_list_item)) return {};
  // "AB C" is no list: at least one item must have a number.
  const bool numbered = std::any_of(parts.begin(), parts.end(), [](std::string_view part) {
    return std::any_of(part.begin(), part.end(), is_digit);
  });
  return numbered ? parts : std::vector<std::string_view>{};
}

// Cuts a bracket at the end off: "16 (GND)" is cavity 16 with a note.
std::string_view cut_bracket(std::string_view text, CavityReading& reading) {
  if (text.empty() || (text.back() != ')' && text.back() != ']')) return text;
  const std::size_t open = text.find_last_of(text.back() == ')' ? '(' : '[');
  if (open == std::string_view::npos || open == 0) return text;
  reading.note = trimmed(text.substr(open + 1, text.size() - open - 2));
  return trimmed(text.substr(0, open));
}

}  // namespace

CavityStyle cavity_style(std::span<const std::string_view> column) {
  std::size_t filled = 0;
  std::size_t pairs = 0;
  for (const std::string_view cell : column) {
    const std::string_view text = cleaned(cell);
    if (text.empty()) continue;
    ++filled;
    const auto pair = two_parts(text);
    if (pair && pair->mark == '-' && all_digits(pair->left) && all_digits(pair->right)) ++pairs;
  }
  return {pairs >= 2 && 2 * pairs >= filled};
}

CavityReading read_cavities(std::string_view cell, const CavityStyle& style) {
  CavityReading reading;
  std::string_view text = trimmed(cell);
  if (names_nothing(text)) return reading;
  text = cut_bracket(text, reading);
  text = cleaned(text);
  if (text.size() > kLongestName && list_parts(text).empty()) {
    reading.doubts.emplace_back("the cavity cell is too long for a name");
    return reading;
  }
  const std::vector<std::string_view> items = items_of(text);
  if (items.empty()) {
    if (text.size() <= kLongestName) read_one(text, style, reading);
    if (text.size() > kLongestName) reading.doubts.emplace_back("the cavity cell is too long for a name");
    return reading;
  }
  for (const std::string_view item : items) {
    if (reading.cavities.size() >= kMostCavities) {
      reading.doubts.emplace_back("the cell lists more than 200 cavities; the others are not read");
      break;
    }
    read_one(item, style, reading);
  }
  return reading;
}

bool looks_like_cavities(std::string_view cell) {
  std::string_view text = cleaned(trimmed(cell));
  if (text.empty() || text.size() > 4 * kLongestName) return false;
  const auto numbered = [](std::string_view part) { return std::any_of(part.begin(), part.end(), is_digit); };
  if (!numbered(text)) return false;
  return is_list_item(text) || !items_of(text).empty();
}

bool is_lettered_cavity(std::string_view cell) {
  const std::string_view text = cleaned(trimmed(cell));
  return !text.empty() && text.size() <= 2 && std::all_of(text.begin(), text.end(), is_letter);
}

CavityParts split_cavity(std::string_view cavity) {
  CavityParts parts;
  std::size_t i = 0;
  while (i < cavity.size() && !is_digit(cavity[i])) parts.row += cavity[i++];
  for (; i < cavity.size() && is_digit(cavity[i]); ++i) {
    if (parts.number < 100000) parts.number = parts.number * 10 + (cavity[i] - '0');
  }
  parts.tail = cavity.substr(i);
  return parts;
}

}  // namespace loomgraft
