// Tables whose cells stand between bars: Markdown, with or without outer bars, or with rulers of
// "-----+-----".
#include <algorithm>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

struct Span {
  std::size_t begin, end;
};

// Where a table's text starts in a line: behind indentation and quotation marks ("> | a | b |").
std::size_t content_start(std::string_view line) {
  std::size_t at = 0;
  while (at < line.size() && (is_blank(line[at]) || line[at] == '>')) ++at;
  return at;
}

std::size_t content_end(std::string_view line) {
  std::size_t end = line.size();
  while (end > 0 && is_blank(line[end - 1])) --end;
  return end;
}

bool escaped(std::string_view line, std::size_t at) {
  std::size_t slashes = 0;
  while (at > slashes && line[at - slashes - 1] == '\\') ++slashes;
  return slashes % 2 == 1;
}

std::size_t next_bar(std::string_view line, std::size_t at) {
  while (true) {
    at = line.find('|', at);
    if (at == std::string_view::npos || !escaped(line, at)) return at;
    ++at;
  }
}

bool has_bar(std::string_view line) {
  return next_bar(line, 0) != std::string_view::npos;
}

// `outer` says that the table's rows begin with a bar of their own; otherwise a bar in front follows an empty
// cell.
void split_bars(std::string_view line, bool outer, std::vector<Span>& spans) {
  spans.clear();
  std::size_t begin = content_start(line);
  const std::size_t end = content_end(line);
  if (outer && begin < end && line[begin] == '|') ++begin;
  while (begin <= end) {
    std::size_t bar = next_bar(line, begin);
    if (bar == std::string_view::npos || bar >= end || spans.size() + 1 == max_cells_in_row) bar = end;
    if (bar == end && begin == end) break;  // behind the closing bar
    spans.push_back({begin, bar});
    begin = bar + 1;
  }
}

// A line with cells: two or more, or one between two bars.
bool is_pipe_row(std::string_view line) {
  const std::size_t begin = content_start(line);
  const std::size_t bar = next_bar(line, begin);
  if (bar == std::string_view::npos) return false;
  return bar != begin || next_bar(line, bar + 1) != std::string_view::npos;
}

Row read_row(std::string_view line, int number, bool outer, std::vector<Span>& spans) {
  split_bars(line, outer, spans);
  Row row;
  row.reserve(spans.size());
  ColumnCursor column(line);
  for (const Span span : spans) {
    add_cell(row, number, line, column, span.begin, span.end);
    std::string& text = row.back().text;
    if (text.find_first_of("*`\\[<&_") != std::string::npos) text = without_markdown(text);
  }
  return row;
}

// The bars of the ruler tell the style; without a ruler the first row does.
bool begins_with_bar(std::string_view line) {
  const std::size_t begin = content_start(line);
  return begin < line.size() && (line[begin] == '|' || line[begin] == '+');
}

bool next_table_starts(const Reader& reader, std::size_t line) {
  return line + 1 < reader.line_count() && is_pipe_row(reader.line(line)) &&
         is_pipe_ruler(reader.line(line + 1));
}

struct Start {
  std::size_t header = 0;  // line of the header, if has_header
  std::size_t rows = 0;    // first line of rows
  bool has_header = false;
  bool outer = true;
};

std::optional<Start> find_start(const Reader& reader, std::size_t line) {
  Start start;
  std::size_t at = line;
  if (is_pipe_ruler(reader.line(at))) ++at;  // a ruler on top
  if (at >= reader.line_count() || !is_pipe_row(reader.line(at))) return std::nullopt;
  const bool has_next = at + 1 < reader.line_count();
  if (has_next && is_pipe_ruler(reader.line(at + 1))) {
    start.has_header = true;
    start.header = at;
    start.rows = at + 2;
    start.outer = begins_with_bar(reader.line(at + 1)) || begins_with_bar(reader.line(at));
    return start;
  }
  // A head over a plain rule, rows below it.
  if (has_next && at + 2 < reader.line_count() && is_rule(reader.line(at + 1)) &&
      is_pipe_row(reader.line(at + 2))) {
    start.has_header = true;
    start.header = at;
    start.rows = at + 2;
    start.outer = begins_with_bar(reader.line(at));
    return start;
  }
  if (at != line) {  // "|---|" first, rows after it: no header
    start.rows = at;
    start.outer = begins_with_bar(reader.line(line));
    return start;
  }
  if (!has_next || !is_pipe_row(reader.line(at + 1))) return std::nullopt;
  start.rows = at;
  start.outer = begins_with_bar(reader.line(at)) && begins_with_bar(reader.line(at + 1));
  return start;
}

// A line without bars amid the rows belongs to the table if rows go on right after it.
bool rows_continue(const Reader& reader, std::size_t line) {
  return line + 1 < reader.line_count() && is_pipe_row(reader.line(line + 1)) &&
         !next_table_starts(reader, line + 1) && !reader.blank(line) && !heading_at(reader, line) &&
         trim(reader.line(line)).front() != '`';
}

}  // namespace

bool is_pipe_ruler(std::string_view line) {
  const std::size_t end = content_end(line);
  std::size_t dashes = 0, bars = 0;
  for (std::size_t i = content_start(line); i < end; ++i) {
    const char c = line[i];
    if (c == '-' || c == '=')
      ++dashes;
    else if (c == '|' || c == '+')
      ++bars;
    else if (c != ':' && c != ' ' && c != '\t')
      return false;
  }
  return dashes >= 1 && bars >= 1;
}

std::optional<Region> claim_pipes(Reader& reader, std::size_t line) {
  const auto start = find_start(reader, line);
  if (!start) return std::nullopt;
  std::vector<Span> spans;
  Table table;
  table.form = TableForm::pipes;
  if (start->has_header)
    table.header =
        read_row(reader.line(start->header), static_cast<int>(start->header) + 1, start->outer, spans);
  std::size_t at = start->rows;
  for (; at < reader.line_count(); ++at) {
    const std::string_view text = reader.line(at);
    const bool pipe = has_bar(text);
    if (!pipe && !is_pipe_ruler(text) && !rows_continue(reader, at)) break;
    if (is_pipe_ruler(text)) continue;
    if (at > start->rows && next_table_starts(reader, at)) {
      // A ruler amid the rows: under a row of head words it begins another table, else it only parts groups.
      const Row row = read_row(text, static_cast<int>(at) + 1, start->outer, spans);
      if (looks_like_header(row, {})) break;
    }
    table.rows.push_back(read_row(text, static_cast<int>(at) + 1, start->outer, spans));
    if (!reader.spend(table.rows.back().size(), static_cast<int>(at) + 1)) break;
  }
  if (!start->has_header) take_header_row(table);
  Region region;
  region.end = std::max(at, line + 1);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
