#include "files/placed_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "text/encoding.h"

namespace loomgraft::files {
namespace {

constexpr std::string_view line_end_in_cell = "\xEE\x80\x80";  // U+E000
// What begins another form of table or a heading, where it begins a line.
constexpr std::string_view marks_of_forms = "#=<>{[-*|+!~`_\"";

void append_clean(std::string& out, std::string_view text) {
  const std::string valid = valid_utf8(text) ? std::string() : repaired_utf8(text);
  if (!valid.empty()) text = valid;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto code = static_cast<unsigned char>(text[i]);
    if (code == '\n') {
      out += line_end_in_cell;
    } else if (code == '\r' && i + 1 < text.size() && text[i + 1] == '\n') {
      continue;
    } else if (code < 0x20 || code == 0x7F) {
      out += ' ';
    } else if (text.substr(i).starts_with(line_end_in_cell)) {
      out += ' ';
      i += line_end_in_cell.size() - 1;
    } else {
      out += text[i];
    }
  }
}

std::string_view without_blanks(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t\r\n");
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(" \t\r\n") - begin + 1);
}

void append_cell(std::string& out, std::string_view text) {
  text = without_blanks(text);
  if (text.empty()) return;
  std::string clean;
  append_clean(clean, text);
  const bool quoted =
      clean.find('"') != std::string::npos || marks_of_forms.find(clean.front()) != std::string::npos;
  if (!quoted) {
    out += clean;
    return;
  }
  out += '"';
  for (const char c : clean) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

int characters_of(std::string_view text) {
  return static_cast<int>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

void restore_text(std::string& text, std::string_view with) {
  for (std::size_t at = text.find(line_end_in_cell); at != std::string::npos;
       at = text.find(line_end_in_cell, at))
    text.replace(at, line_end_in_cell.size(), with);
}

}  // namespace

void PlacedText::begin_part(std::string name) {
  parts_.push_back(std::move(name));
}

void PlacedText::begin_line(int line) {
  if (parts_.empty()) parts_.emplace_back();
  lines_.push_back({static_cast<std::uint32_t>(parts_.size() - 1), line, starts_.size(), 0});
}

void PlacedText::add_blank() {
  begin_line(0);
  text_ += '\n';
}

void PlacedText::add_heading(std::string_view text, int line) {
  begin_line(line);
  text_ += "# ";
  std::string clean;
  append_clean(clean, without_blanks(text));
  restore_text(clean, " ");
  text_ += clean + "\n";
  add_blank();  // else what begins a text with "#" may be taken for a comment of a table in it
}

void PlacedText::add_line(std::string_view text, int line) {
  begin_line(line);
  std::string clean;
  append_clean(clean, without_blanks(text));
  restore_text(clean, " ");
  text_ += clean + "\n";
}

void PlacedText::add_row(const std::vector<PlacedCell>& cells, int line) {
  begin_line(line);
  cells_ += cells.size();
  int at = 1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) {
      text_ += '\t';
      ++at;
    }
    starts_.push_back({at, cells[i].column});
    const std::size_t before = text_.size();
    append_cell(text_, cells[i].text);
    at += characters_of(std::string_view(text_).substr(before));
  }
  text_ += '\n';
}

void PlacedText::add_doubt(std::string doubt) {
  if (lines_.empty()) return;
  Line& line = lines_.back();
  if (line.doubts == 0) {
    line.doubts = doubts_.size();
    doubts_.emplace_back();
  }
  doubts_[line.doubts].push_back(std::move(doubt));
}

const PlacedText::Line* PlacedText::line_at(int line) const {
  return line >= 1 && static_cast<std::size_t>(line) <= lines_.size()
             ? &lines_[static_cast<std::size_t>(line) - 1]
             : nullptr;
}

Spot PlacedText::spot(int line, int column) const {
  const Line* at = line_at(line);
  if (!at) return {};
  const bool last = static_cast<std::size_t>(line) == lines_.size();
  const auto begin = starts_.begin() + static_cast<std::ptrdiff_t>(at->starts);
  const auto end =
      last ? starts_.end()
           : starts_.begin() + static_cast<std::ptrdiff_t>(lines_[static_cast<std::size_t>(line)].starts);
  auto behind = std::upper_bound(begin, end, column, [](int c, const Start& start) { return c < start.at; });
  return {at->part, at->line, behind == begin ? 0 : std::prev(behind)->column};
}

std::string PlacedText::place(const Spot& spot) const {
  if (spot.line <= 0 || spot.column <= 0) return line_place(spot);
  return fmt::format("sheet {}, {}{}", parts_[spot.part], column_letters(spot.column), spot.line);
}

std::string PlacedText::line_place(const Spot& spot) const {
  if (spot.part >= parts_.size()) return {};
  const bool sheet = kind_ == PartKind::sheet;
  std::string text = fmt::format("{} {}", sheet ? "sheet" : "page", parts_[spot.part]);
  if (spot.line > 0) text += fmt::format(", {} {}", sheet ? "row" : "line", spot.line);
  return text;
}

const std::vector<std::string>& PlacedText::doubts(int line) const {
  const Line* at = line_at(line);
  return doubts_[at ? at->doubts : 0];
}

void PlacedText::restore(TableText& tables) {
  const auto restore_cells = [](std::vector<Cell>& cells) {
    for (Cell& cell : cells) restore_text(cell.text, "\n");
  };
  for (Table& table : tables.tables) {
    restore_text(table.name, " ");
    for (std::string& line : table.lines_before) restore_text(line, " ");
    for (std::string& line : table.lines_after) restore_text(line, " ");
    restore_cells(table.header);
    for (std::vector<Cell>& row : table.rows) restore_cells(row);
  }
}

std::string column_letters(int column) {
  std::string letters;
  for (; column > 0; column = (column - 1) / 26)
    letters.insert(letters.begin(), static_cast<char>('A' + (column - 1) % 26));
  return letters;
}

}  // namespace loomgraft::files
