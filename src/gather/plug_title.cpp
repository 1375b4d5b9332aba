#include "gather/plug_title.h"

#include <algorithm>

#include "base/ascii.h"
#include "gather/heading_words.h"
#include "gather/surroundings.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kLinesLookedAt = 6;  // above a table
constexpr std::size_t kLongestLine = 60;
constexpr std::size_t kMostWords = 8;

using Words = std::vector<std::string_view>;

bool all_digits(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), is_digit);
}

// "7 pin", "16-way", "35 poles".
bool counts_cavities(const Words& words) {
  constexpr std::string_view units[] = {"pin",   "pins",     "way",    "ways",    "pole", "poles",
                                        "polig", "position", "cavity", "broches", "pines"};
  const auto is_unit = [&](std::string_view word) {
    const std::string lower = lower_case(word);
    return std::find(std::begin(units), std::end(units), lower) != std::end(units);
  };
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string_view word = words[i];
    if (all_digits(word) && word.size() <= 3 && i + 1 < words.size() && is_unit(words[i + 1])) return true;
    const std::size_t mark = word.find_first_not_of("0123456789");
    if (mark == 0 || mark == std::string_view::npos) continue;
    if (is_unit(trimmed(word.substr(mark), "-"))) return true;
  }
  return false;
}

bool names_nothing(std::string_view word) {
  if (word.size() == 1 && word[0] >= 'A' && word[0] <= 'Z') return false;  // "A" is a plug, "a" is none
  return is_filler_word(word) || is_pin_table_word(word) || is_connector_word(word);
}

}  // namespace

std::string bare_heading(std::string_view heading) {
  const Words words = tokens_of(heading, heading_marks);
  std::size_t first = 0;
  std::size_t last = words.size();
  // "7 pin layout": a count keeps its unit.
  const auto keeps = [&](std::size_t i) {
    return !names_nothing(words[i]) || (i > 0 && all_digits(words[i - 1]));
  };
  while (first < last && !keeps(first)) ++first;
  while (last > first && !keeps(last - 1)) --last;
  if (first == last) return {};
  const auto begin = static_cast<std::size_t>(words[first].data() - heading.data());
  auto end = static_cast<std::size_t>(words[last - 1].data() - heading.data()) + words[last - 1].size();
  if (end < heading.size() && (heading[end] == ')' || heading[end] == ']')) ++end;
  return std::string(trimmed(heading.substr(begin, end - begin), "-:"));
}

std::string plug_in_heading(std::string_view heading) {
  if (std::string name = connector_in_heading(heading); !name.empty()) return name;
  const Words words = tokens_of(heading, heading_marks);
  if (words.empty() || words.size() > kMostWords) return {};
  const auto any = [&](auto&& is) { return std::any_of(words.begin(), words.end(), is); };
  const bool coloured = !colour_of_word(words.front()).empty() || !colour_of_word(words.back()).empty();
  if (!any(is_connector_word) && !coloured && !counts_cavities(words)) return {};
  return bare_heading(heading);
}

std::string plug_of_table(const Table& table) {
  if (std::string name = plug_in_heading(table.name); !name.empty()) return name;
  if (bare_heading(table.name).empty()) {
    for (const std::string& outer : table.outer_names) {
      if (std::string name = plug_in_heading(outer); !name.empty()) return name;
      if (!bare_heading(outer).empty()) break;
    }
  }
  const std::vector<std::string>& lines = table.lines_before;
  for (std::size_t i = lines.size(), seen = 0; i-- > 0 && seen < kLinesLookedAt; ++seen) {
    const std::string_view line = trimmed(lines[i], "#*=");
    if (line.size() > kLongestLine) continue;
    if (std::string name = connector_in_heading(line); !name.empty()) return name;
  }
  return {};
}

std::string title_of_table(const Table& table) {
  if (std::string title = bare_heading(table.name); !title.empty()) return title;
  for (const std::string& outer : table.outer_names)
    if (std::string title = bare_heading(outer); !title.empty()) return title;
  return {};
}

}  // namespace loomgraft::gather
