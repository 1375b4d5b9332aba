// Tables drawn as a grid: "+---+---+" above and below, bars between.
//
// With a border after each row (reStructuredText) the lines between two borders are one row; with borders
// only around the head and at the end (database listings) each line is a row.
#include <algorithm>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

bool is_border(std::string_view line) {
  line = trim(line);
  if (line.size() < 3 || line.front() != '+') return false;
  return std::all_of(line.begin(), line.end(),
                     [](char c) { return c == '+' || c == '-' || c == '=' || c == ':' || c == ' '; }) &&
         line.find_first_of("-=") != std::string_view::npos;
}

// A border that a cell over several rows breaks: "|      +-----+".
bool is_part_border(std::string_view line) {
  return is_border(line) || line.find("+--") != std::string_view::npos ||
         line.find("--+") != std::string_view::npos;
}

bool is_grid_row(std::string_view line) {
  line = trim(line);
  return line.size() >= 2 && line.front() == '|' && line.back() == '|';
}

struct Extent {
  std::size_t end = 0;
  std::size_t borders = 0;
  std::size_t rows = 0;
  bool double_border = false;  // "+===+" under the head
};

Extent find_extent(const Reader& reader, std::size_t line) {
  Extent extent;
  for (extent.end = line; extent.end < reader.line_count(); ++extent.end) {
    const std::string_view text = reader.line(extent.end);
    if (is_border(text)) {
      ++extent.borders;
      extent.double_border = extent.double_border || text.find('=') != std::string_view::npos;
    } else if (is_grid_row(text)) {
      ++extent.rows;
    } else {
      break;
    }
  }
  return extent;
}

// The bytes at which the bars of a line stand: those below the crosses of the border, for a cell's own text may
// hold bars ("|name|"); all bars where the line does not follow the border.
std::vector<std::size_t> bars_of(std::string_view line, const std::vector<std::size_t>& crosses) {
  std::vector<std::size_t> bars;
  const VisualLine visual = expand(line);
  for (const std::size_t cross : crosses)
    if (cross < visual.width() && line[visual.bytes[cross]] == '|') bars.push_back(visual.bytes[cross]);
  const bool follows = bars.size() >= 2 && bars.front() == line.find('|') && bars.back() == line.rfind('|');
  if (follows) return bars;
  bars.clear();
  for (std::size_t at = line.find('|'); at != std::string_view::npos; at = line.find('|', at + 1))
    bars.push_back(at);
  return bars;
}

std::vector<std::size_t> crosses_of(std::string_view border) {
  std::vector<std::size_t> crosses;
  const VisualLine visual = expand(border);
  for (std::size_t at = 0; at < visual.width(); ++at)
    if (border[visual.bytes[at]] == '+') crosses.push_back(at);
  return crosses;
}

Row cut_row(std::string_view line, int number, const std::vector<std::size_t>& crosses) {
  Row row;
  ColumnCursor column(line);
  const std::vector<std::size_t> bars = bars_of(line, crosses);
  for (std::size_t i = 0; i + 1 < bars.size() && row.size() < max_cells_in_row; ++i) {
    add_cell(row, number, line, column, bars[i] + 1, bars[i + 1]);
    std::string& text = row.back().text;
    if (text.find("]_") != std::string::npos) text = without_footnotes(text);
  }
  return row;
}

}  // namespace

std::optional<Region> claim_grid(Reader& reader, std::size_t line) {
  if (!is_border(reader.line(line)) || line + 1 >= reader.line_count() || !is_grid_row(reader.line(line + 1)))
    return std::nullopt;
  const Extent extent = find_extent(reader, line);
  const bool lines_are_rows = extent.borders <= 3 && !(extent.double_border && extent.rows <= 2);
  Table table;
  table.form = TableForm::pipes;
  const std::vector<std::size_t> crosses = crosses_of(reader.line(line));
  bool new_row = true;
  std::size_t borders = 0;
  for (std::size_t at = line; at < extent.end; ++at) {
    const std::string_view text = reader.line(at);
    const int number = static_cast<int>(at) + 1;
    if (is_part_border(text)) {
      ++borders;
      new_row = true;
      const bool under_head = table.header.empty() && table.rows.size() == 1 &&
                              (text.find('=') != std::string_view::npos || (lines_are_rows && borders == 2));
      if (under_head) {
        table.header = std::move(table.rows.front());
        table.rows.clear();
      }
      continue;
    }
    Row row = cut_row(text, number, crosses);
    if (!reader.spend(row.size(), number)) break;
    const bool wrapped =
        !table.rows.empty() && !row.empty() && row[0].text.empty() && lines_are_rows && borders < 2;
    if ((new_row || lines_are_rows) && !wrapped)
      table.rows.push_back(std::move(row));
    else
      join_wrapped(table.rows.back(), row);
    new_row = false;
  }
  take_header_row(table);
  Region region;
  region.end = extent.end;
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
