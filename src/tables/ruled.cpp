// Fixed-width text whose columns are given by a ruler: "---- ------" under the head, or "==== ======" around
// a reStructuredText simple table.
#include <algorithm>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

using Columns = std::vector<std::size_t>;

bool is_ruler_mark(char c) {
  return c == '-' || c == '=' || c == '~' || c == '_';
}

// Where column `index` really begins in this line: text that runs over the ruler's gap moves the border to
// the next gap.
std::size_t border_in(const VisualLine& line, std::size_t start) {
  if (start >= line.width() || line.blank_at(start - 1)) return start;
  // A word that begins left of the column and reaches into it belongs to this column if a wide gap stands
  // before it.
  std::size_t left = start;
  while (left > 0 && !line.blank_at(left - 1)) --left;
  if (left >= 2 && line.blank_at(left - 1) && line.blank_at(left - 2)) return left;
  std::size_t right = start;
  while (right < line.width() && !line.blank_at(right)) ++right;
  return right;
}

Row cut_row(const VisualLine& line, int number, const Columns& columns) {
  Row row;
  ColumnCursor column(line.line);
  std::size_t begin = 0;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    std::size_t end = line.width();
    if (i + 1 < columns.size())
      end = std::max(begin, std::min(border_in(line, columns[i + 1]), line.width()));
    if (begin >= line.width()) break;
    add_cell(row, number, line.line, column, line.bytes[begin], line.bytes[end]);
    begin = end;
  }
  while (!row.empty() && row.back().text.empty()) row.pop_back();
  return row;
}

std::size_t filled_cells(const Row& row) {
  return static_cast<std::size_t>(
      std::count_if(row.begin(), row.end(), [](const Cell& cell) { return !cell.text.empty(); }));
}

// After a blank line: a row again, if the columns hold and the first cell names a cavity.
bool row_fits(std::string_view text, const Columns& columns) {
  const VisualLine line = expand(text);
  if (line.width() <= columns[1] || line.blank_at(columns[0]) || !line.blank_at(columns[1] - 1)) return false;
  const Row row = cut_row(line, 1, columns);
  return row.size() >= 2 && looks_like_cavity(row[0].text);
}

struct Layout {
  Columns columns;
  std::size_t first_head = 0, last_head = 0;  // lines [first, last)
  std::size_t rows = 0;                       // first line of rows
  bool closed = false;                        // a ruler ends the table
};

// "=== ===" on top: the next equal rulers end the head and the table, or the table alone.
std::optional<Layout> layout_under_ruler(const Reader& reader, std::size_t line) {
  Layout layout;
  layout.columns = ruler_columns(reader.line(line));
  if (layout.columns.empty()) return std::nullopt;
  layout.closed = true;
  layout.rows = line + 1;
  for (std::size_t at = line + 1; at < reader.line_count() && at < line + 8; ++at) {
    if (ruler_columns(reader.line(at)).empty()) continue;
    const bool last = at + 1 >= reader.line_count() || reader.blank(at + 1);
    const bool blank_before_rows =
        last && at + 2 < reader.line_count() && row_fits(reader.line(at + 2), layout.columns);
    if (last && !blank_before_rows) break;
    layout.first_head = line + 1;
    layout.last_head = at;
    layout.rows = at + 1;
    break;
  }
  return layout;
}

std::optional<Layout> layout_over_ruler(const Reader& reader, std::size_t line) {
  if (line + 1 >= reader.line_count() || reader.blank(line)) return std::nullopt;
  Layout layout;
  layout.columns = ruler_columns(reader.line(line + 1));
  if (layout.columns.empty()) return std::nullopt;
  layout.first_head = line;
  layout.last_head = line + 1;
  layout.rows = line + 2;
  return layout;
}

// The line where the rows end: a closing ruler, or a blank line that no row follows.
bool ends_here(const Reader& reader, std::size_t& at, const Layout& layout, bool any_rows) {
  if (!reader.blank(at)) return false;
  if (layout.closed && layout.last_head == 0) {
    // Blank lines may stand inside a table that a ruler closes, if the ruler is in sight.
    for (std::size_t next = at + 1; next < reader.line_count() && next < at + 3; ++next)
      if (!ruler_columns(reader.line(next)).empty()) return false;
  }
  std::size_t next = at;
  while (next < reader.line_count() && next < at + 4 && reader.blank(next)) ++next;
  if (next >= reader.line_count() || reader.blank(next)) return true;
  if (any_rows && !row_fits(reader.line(next), layout.columns)) return true;
  if (!any_rows && next - at > 1) return true;
  at = next - 1;
  return false;
}

Row read_head(const Reader& reader, const Layout& layout) {
  Row head;
  for (std::size_t at = layout.first_head; at < layout.last_head; ++at)
    join_wrapped(head, cut_row(expand(reader.line(at)), static_cast<int>(at) + 1, layout.columns));
  return head;
}

std::size_t read_rows(Reader& reader, const Layout& layout, Table& table) {
  std::size_t at = layout.rows;
  for (; at < reader.line_count(); ++at) {
    if (ends_here(reader, at, layout, !table.rows.empty())) break;
    const std::string_view text = reader.line(at);
    if (!ruler_columns(text).empty()) {
      const bool ends = layout.closed && (at + 1 >= reader.line_count() || reader.blank(at + 1));
      if (ends) return at + 1;
      continue;
    }
    // The head of another table stands right below: its own ruler follows.
    if (at + 1 < reader.line_count() && !layout.closed && !table.rows.empty() &&
        !ruler_columns(reader.line(at + 1)).empty())
      break;
    if (reader.blank(at)) continue;
    Row row = cut_row(expand(text), static_cast<int>(at) + 1, layout.columns);
    if (!reader.spend(row.size() + 1, static_cast<int>(at) + 1)) break;
    const bool wrapped = !table.rows.empty() && !row.empty() && row[0].text.empty() &&
                         (layout.closed || filled_cells(row) == 1);
    if (wrapped)
      join_wrapped(table.rows.back(), row);
    else if (!row.empty())
      table.rows.push_back(std::move(row));
  }
  return at;
}

}  // namespace

std::vector<std::size_t> ruler_columns(std::string_view line) {
  Columns columns;
  std::size_t position = 0;
  bool in_group = false;
  std::size_t marks = 0;
  if (line.size() > 20'000) return columns;
  for (const char c : line) {
    if (is_ruler_mark(c)) {
      if (!in_group) columns.push_back(position);
      in_group = true;
      ++marks;
      ++position;
    } else if (c == ' ') {
      in_group = false;
      ++position;
    } else if (c == '\t') {
      in_group = false;
      position += 8 - position % 8;
    } else {
      return {};
    }
  }
  // Two single dashes are a row of "nothing there", not a ruler.
  if (columns.size() < 2 || marks < 2 * columns.size()) return {};
  return columns;
}

std::optional<Region> claim_ruled(Reader& reader, std::size_t line) {
  auto layout = layout_under_ruler(reader, line);
  if (!layout) layout = layout_over_ruler(reader, line);
  if (!layout) return std::nullopt;
  Table table;
  table.form = TableForm::ruled;
  table.header = read_head(reader, *layout);
  Region region;
  region.end = std::max(read_rows(reader, *layout, table), line + 1);
  take_header_row(table);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
