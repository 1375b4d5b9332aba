#include "gather/surroundings.h"

#include <algorithm>
#include <optional>

#include "base/ascii.h"
#include "gather/heading_words.h"
#include "standards/dictionary.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

bool is_upper(char c) {
  return c >= 'A' && c <= 'Z';
}

// "M42", "X437A", "C-1", "DIAG": letters in capitals, a digit or all capitals.
bool is_connector_name(std::string_view word) {
  if (word.empty() || word.size() > 12) return false;
  const bool digit = std::any_of(word.begin(), word.end(), is_digit);
  const bool all = std::all_of(word.begin(), word.end(), [](char c) {
    return is_digit(c) || is_upper(c) || c == '-' || c == '_' || c == '.';
  });
  if (word.size() == 1) return is_upper(word[0]) || is_digit(word[0]);
  const bool letter = std::any_of(word.begin(), word.end(), is_upper);
  return all && (letter || (digit && word.size() <= 3));
}

bool is_short_name(std::string_view word) {  // letters then digits: "C1", "X40", "X11175"
  if (word.size() < 2 || word.size() > 8 || !is_upper(word.front()) || !is_digit(word.back())) return false;
  return word.size() <= 5 || std::all_of(word.begin() + 1, word.end(), is_digit);
}

std::vector<std::pair<std::string, std::string>> pairs_in(std::string_view line) {
  std::vector<std::pair<std::string, std::string>> pairs;
  const std::vector<std::string_view> words = tokens_of(line, " \t,;:=.()");
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    if (words[i].size() > 3) continue;
    std::string colour = colour_of_word(words[i + 1]);
    if (colour.empty() || !colour_of_word(words[i]).empty()) continue;
    pairs.emplace_back(upper(words[i]), std::move(colour));
    ++i;
  }
  return pairs;
}

}  // namespace

std::vector<std::string_view> tokens_of(std::string_view text, std::string_view marks) {
  std::vector<std::string_view> tokens;
  std::size_t start = 0;
  for (std::size_t i = 0; i <= text.size(); ++i) {
    if (i < text.size() && marks.find(text[i]) == std::string_view::npos) continue;
    if (i > start) tokens.push_back(text.substr(start, i - start));
    start = i + 1;
  }
  return tokens;
}

std::string colour_of_word(std::string_view word) {
  if (word.size() < 3) return {};
  const std::string lower = lower_case(word);
  for (const ColourNotation& notation : colour_notations()) {
    if (!notation.full_words) continue;
    for (const auto& [name, colour] : notation.codes) {
      if (name == lower) return colour;
    }
  }
  return {};
}

bool begins_with_connector_word(std::string_view heading) {
  const std::vector<std::string_view> words = tokens_of(heading, heading_marks);
  return !words.empty() && is_connector_word(words.front());
}

std::string connector_in_heading(std::string_view heading) {
  const std::vector<std::string_view> words = tokens_of(heading, heading_marks);
  if (words.empty() || words.size() > 40) return {};
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (!is_connector_word(words[i])) continue;
    std::size_t next = i + 1;
    if (next < words.size() && (words[next] == "no" || words[next] == "no." || words[next] == "#")) ++next;
    if (next < words.size() && is_connector_name(words[next])) return std::string(words[next]);
    if (i > 0 && words[i - 1].size() > 1 && is_connector_name(words[i - 1])) return std::string(words[i - 1]);
  }
  const bool alone = words.size() == 1 || heading.substr(words[0].size()).starts_with(":") ||
                     heading.substr(words[0].size()).starts_with(",") ||
                     heading.substr(words[0].size()).starts_with(" (");
  return alone && is_short_name(words[0]) && heading.starts_with(words[0]) ? std::string(words[0])
                                                                           : std::string();
}

bool read_tag(std::string_view line, ModuleTags& tags) {
  line = trimmed(line, "\"*#>-;,");
  const std::size_t colon = line.find(':');
  if (colon > 20) return false;  // also where there is none
  const auto tag = tag_named(trimmed(line.substr(0, colon), "*"));
  if (!tag) return false;
  std::string_view value = trimmed(line.substr(colon + 1), "*;\"");
  value = trimmed(value.substr(0, std::min(value.find(" ("), value.find("  "))));
  if (value.empty() || value.size() > 80) return false;
  tags.** tag = std::string(value);
  return true;
}

std::vector<std::pair<std::string, std::string>> read_colour_legend(const std::vector<std::string>& lines) {
  std::vector<std::pair<std::string, std::string>> codes;
  bool within = false;
  for (const std::string& line : lines) {
    if (line.size() > 2000) continue;
    auto pairs = pairs_in(line);
    within = pairs.size() >= 3 || (within && !pairs.empty());
    if (within) codes.insert(codes.end(), pairs.begin(), pairs.end());
  }
  return codes;
}

}  // namespace loomgraft::gather
