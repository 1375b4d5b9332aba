#include <algorithm>
#include <array>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

constexpr std::size_t max_heading = 200;

// The mark of an under- or overline: one punctuation mark repeated three times or more; 0 where it is none.
char underline_mark(std::string_view line) {
  line = trim(line);
  if (line.size() < 3 || line.size() > max_heading) return 0;
  const char mark = line.front();
  constexpr std::string_view marks = "=-~^\"'`#*+.:_";
  if (marks.find(mark) == std::string_view::npos) return 0;
  return line.find_first_not_of(mark) == std::string_view::npos ? mark : '\0';
}

// The usual order of underlines; writers keep to one order within a file, mostly this one.
int level_of_mark(char mark) {
  constexpr std::string_view order = "=-~^";
  const std::size_t at = order.find(mark);
  return at == std::string_view::npos ? 5 : static_cast<int>(at) + 1;
}

bool is_title_text(std::string_view line) {
  line = trim(line);
  return !line.empty() && line.size() <= max_heading && underline_mark(line) == 0 && line.front() != '|' &&
         line.front() != '+' && !line.starts_with("- ") && !line.starts_with("```");
}

std::optional<Heading> underlined(const Reader& reader, std::size_t line) {
  const std::string_view text = reader.line(line);
  const bool has_next = line + 1 < reader.line_count();
  if (!has_next) return std::nullopt;
  const char over = underline_mark(text);
  if (over != 0 && line + 2 < reader.line_count() && is_title_text(reader.line(line + 1)) &&
      underline_mark(reader.line(line + 2)) == over)
    return Heading{std::string(trim(reader.line(line + 1))), 3, level_of_mark(over)};
  if (!is_title_text(text)) return std::nullopt;
  const char under = underline_mark(reader.line(line + 1));
  if (under == 0 || under == '`' || under == ':' || under == '.') return std::nullopt;
  // A head of columns over a plain rule belongs to its table.
  const std::string_view title_text = trim(text);
  const bool columns = title_text.find("  ") != std::string_view::npos ||
                       title_text.find_first_of("\t|") != std::string_view::npos;
  if (columns) return std::nullopt;
  // A line about as long as the title; "---" alone may also be a thematic break below a paragraph.
  const std::size_t title = count_characters(trim(text));
  const std::size_t rule = trim(reader.line(line + 1)).size();
  if (rule + 8 < title) return std::nullopt;
  return Heading{std::string(trim(text)), 2, level_of_mark(under)};
}

std::string bare_title(std::string_view text) {
  std::string title = without_markdown(trim(text));
  while (!title.empty() && (title.back() == '#' || title.back() == ' ' || title.back() == ':'))
    title.pop_back();
  return title;
}

std::optional<Heading> marked(std::string_view line) {
  line = trim(line);
  std::size_t level = 0;
  while (level < line.size() && line[level] == '#') ++level;
  if (level > 0 && level <= 6 && level < line.size()) {
    // "#Standards" is meant as a heading too; "#1 - GND" is not.
    const bool spaced = is_blank(line[level]);
    if (spaced || is_letter(line[level]))
      return Heading{bare_title(line.substr(level)), 1, static_cast<int>(level)};
  }
  // Wiki: "== Connector ==".
  if (line.size() > 4 && line.starts_with("==") && line.ends_with("==")) {
    std::string_view title = line;
    int marks = 0;
    for (; title.starts_with('='); ++marks) title.remove_prefix(1);
    while (title.ends_with('=')) title.remove_suffix(1);
    if (!trim(title).empty()) return Heading{bare_title(title), 1, marks};
  }
  // A bold line of its own, with or without a colon.
  std::string_view bold = line;
  if (bold.ends_with(':')) bold.remove_suffix(1);
  if (bold.starts_with("[b]") && bold.ends_with("[/b]") && bold.size() > 7)
    return Heading{bare_title(bold.substr(3, bold.size() - 7)), 1, bold_level};
  for (const std::string_view mark : {"**", "__"})
    if (bold.size() > 4 && bold.starts_with(mark) && bold.ends_with(mark) &&
        bold.find(mark, 2) == bold.size() - 2)
      return Heading{bare_title(bold), 1, bold_level};
  return std::nullopt;
}

std::optional<Heading> html_heading(std::string_view line) {
  line = trim(line);
  const std::size_t open = line.find('<');
  if (open == std::string_view::npos) return std::nullopt;
  for (std::size_t at = open; at != std::string_view::npos && at + 3 < line.size();
       at = line.find('<', at + 1)) {
    const bool numbered = lower(line[at + 1]) == 'h' && line[at + 2] >= '1' && line[at + 2] <= '6';
    if (!numbered && !starts_with_word(line.substr(at + 1), "summary")) continue;
    const std::size_t begin = line.find('>', at);
    if (begin == std::string_view::npos) return std::nullopt;
    std::size_t end = line.find("</", begin);
    while (end != std::string_view::npos && end + 2 < line.size() && lower(line[end + 2]) != 'h' &&
           lower(line[end + 2]) != 's')
      end = line.find("</", end + 2);
    const std::string text = decode_entities(
        without_tags(line.substr(begin + 1, end == std::string_view::npos ? end : end - begin - 1)));
    if (trim(text).empty()) return std::nullopt;
    return Heading{std::string(trim(text)), 1, numbered ? line[at + 2] - '0' : bold_level};
  }
  return std::nullopt;
}

// "Connector: X437 (early cars)": what is named stands behind the colon.
std::optional<Heading> keyed(std::string_view line) {
  constexpr std::array keys = {"connector",      "title",    "pinout",  "plug",       "socket",
                               "stecker",        "module",   "ecu",     "device",     "unit",
                               "table",          "conector", "prise",   "connecteur", "name",
                               "steckverbinder", "buchse",   "harness", "header"};
  line = trim(line);
  const std::size_t colon = line.find(':');
  if (colon > 20 || line.size() > max_heading) return std::nullopt;
  const std::string key = lower_case(trim(line.substr(0, colon)));
  const std::string_view value = trim(line.substr(colon + 1));
  if (value.empty() || std::find(keys.begin(), keys.end(), key) == keys.end()) return std::nullopt;
  return Heading{bare_title(value), 1, bold_level};
}

}  // namespace

std::optional<Heading> heading_at(const Reader& reader, std::size_t line) {
  const std::string_view text = reader.line(line);
  if (text.size() > 4 * max_heading || reader.blank(line)) return std::nullopt;
  if (auto heading = marked(text)) return heading;
  if (auto heading = underlined(reader, line)) return heading;
  if (auto heading = html_heading(text)) return heading;
  return keyed(text);
}

bool is_rule(std::string_view line) {
  const char mark = underline_mark(line);
  return mark == '-' || mark == '=' || mark == '_' || mark == '~';
}

std::optional<std::string> title_of_paragraph(std::string_view line) {
  constexpr std::size_t max_title = 50;
  line = trim(line);
  const std::string title = without_markdown(without_tags(line));
  const bool short_name = title.size() == 2 && title[0] >= 'A' && title[0] <= 'Z' && is_digit(title[1]);
  if ((title.size() < 3 && !short_name) || count_characters(title) > max_title || underline_mark(title) != 0)
    return std::nullopt;
  if (std::string_view(".,;:!?)}]>|").find(title.back()) != std::string_view::npos && title.back() != ')')
    return std::nullopt;
  if (title.find(". ") != std::string::npos || title.find_first_of("=;{}<>|") != std::string::npos)
    return std::nullopt;
  if (std::none_of(title.begin(), title.end(), is_letter) || title.starts_with("- ") ||
      title.starts_with("* ") || title.starts_with("![") || title.starts_with("```"))
    return std::nullopt;
  return title;
}

std::optional<std::string> caption_of(std::string_view line) {
  constexpr std::size_t max_caption = 60;
  line = trim(line);
  while (line.starts_with('>') || line.starts_with(' ')) line.remove_prefix(1);
  std::string title = without_markdown(without_tags(line));
  std::string_view bare = trim(title);
  if (bare.size() < 3 || !bare.ends_with(':') || count_characters(bare) > max_caption) return std::nullopt;
  bare.remove_suffix(1);
  constexpr std::ptrdiff_t max_words = 8;
  if (bare.find(". ") != std::string_view::npos || bare.find(',') != std::string_view::npos)
    return std::nullopt;
  if (std::count(bare.begin(), bare.end(), ' ') >= max_words) return std::nullopt;
  if (bare.starts_with("- ") || bare.starts_with("* ")) bare.remove_prefix(2);
  return std::string(trim(bare));
}

}  // namespace loomgraft::tables
