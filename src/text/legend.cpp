#include "text/legend.h"

#include <algorithm>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

bool is_name(std::string_view text) {
  if (text.size() < 2) return false;
  const std::size_t blank = text.find(' ');
  if (blank == std::string_view::npos) return true;
  const std::string_view number = text.substr(blank + 1);
  return !number.empty() && std::all_of(number.begin(), number.end(), is_digit);
}

bool same_word(const NameWord& a, const NameWord& b) {
  return a.text == b.text;
}

}  // namespace

std::optional<LegendLine> read_legend_line(std::string_view line) {
  line = trimmed(line, "*-|");
  const std::size_t colon = line.find(": ");
  if (colon == std::string_view::npos || colon == 0 || colon > 24) return std::nullopt;
  const std::string_view name = trimmed(line.substr(0, colon), "*`");
  const std::string_view meaning = trimmed(line.substr(colon + 2), "*");
  if (!is_name(name) || meaning.empty()) return std::nullopt;
  return LegendLine{std::string(name), std::string(meaning), std::string(line)};
}

bool legend_is_meant(std::string_view name, std::string_view signal) {
  if (contains_word(signal, name)) return true;
  if (name.empty() || !is_digit(name.back())) return false;
  const auto whole = [](std::string_view) { return true; };
  const NameWords wanted = split_name(name, whole);
  const NameWords words = split_name(signal, whole);
  return std::search(words.words.begin(), words.words.end(), wanted.words.begin(), wanted.words.end(),
                     same_word) != words.words.end();
}

std::string network_in(std::string_view meaning) {
  return std::string(trimmed(meaning.substr(0, meaning.find_first_of("@,;:("))));
}

}  // namespace loomgraft
