// Tables in wiki markup: "{|" to "|}", rows parted by "|-", heads behind "!", cells behind "|" or parted by
// "||".
#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

// "style=... | text": attributes before the text of a cell, unless the bar belongs to a link.
std::size_t behind_attributes(std::string_view line, std::size_t begin, std::size_t end) {
  const std::string_view text = line.substr(begin, end - begin);
  const std::size_t bar = text.find('|');
  if (bar == std::string_view::npos) return begin;
  const std::string_view before = text.substr(0, bar);
  const bool attributes = before.find('=') != std::string_view::npos &&
                          before.find("[[") == std::string_view::npos &&
                          before.find("{{") == std::string_view::npos;
  return attributes ? begin + bar + 1 : begin;
}

// "[[target|shown]]" and "[[shown]]".
std::string without_links(std::string_view text) {
  std::string out;
  std::size_t at = 0;
  while (true) {
    const std::size_t open = text.find("[[", at);
    const std::size_t close = open == std::string_view::npos ? open : text.find("]]", open);
    if (close == std::string_view::npos) break;
    std::string_view link = text.substr(open + 2, close - open - 2);
    const std::size_t bar = link.rfind('|');
    if (bar != std::string_view::npos) link.remove_prefix(bar + 1);
    out.append(text.substr(at, open - at)).append(link);
    at = close + 2;
  }
  return out.append(text.substr(at));
}

void add_cells(Row& row, std::string_view line, int number, std::size_t begin, bool head) {
  ColumnCursor column(line);
  while (begin <= line.size() && row.size() < max_cells_in_row) {
    std::size_t next = line.find("||", begin);
    if (head) next = std::min(next, line.find("!!", begin));
    const std::size_t end = std::min(next, line.size());
    add_cell(row, number, line, column, behind_attributes(line, begin, end), end);
    row.back().text = without_markdown(without_links(row.back().text));
    begin = end + 2;
  }
}

}  // namespace

std::optional<Region> claim_wiki(Reader& reader, std::size_t line) {
  if (!trim(reader.line(line)).starts_with("{|")) return std::nullopt;
  Table table;
  table.form = TableForm::pipes;
  Row row;
  bool head = false;
  const auto close_row = [&](int number) {
    if (row.empty()) return true;
    const bool fits = reader.spend(row.size(), number);
    if (head && table.header.empty() && table.rows.empty())
      table.header = std::move(row);
    else
      table.rows.push_back(std::move(row));
    row.clear();
    head = false;
    return fits;
  };
  std::size_t at = line + 1;
  for (; at < reader.line_count(); ++at) {
    const std::string_view text = reader.line(at);
    const int number = static_cast<int>(at) + 1;
    const std::string_view mark = trim(text);
    const std::size_t begin = static_cast<std::size_t>(mark.data() - text.data());
    if (mark.starts_with("|}")) break;
    if (mark.starts_with("|+")) {
      table.name = without_markdown(trim(mark.substr(2)));
    } else if (mark.starts_with("|-")) {
      if (!close_row(number)) break;
    } else if (mark.starts_with('!') || mark.starts_with('|')) {
      head = head || (mark.front() == '!' && row.empty());
      add_cells(row, text, number, begin + 1, mark.front() == '!');
    } else if (!row.empty() && !mark.empty()) {
      row.back().text.append(" ").append(without_markdown(mark));
    }
  }
  close_row(static_cast<int>(at));
  take_header_row(table);
  Region region;
  region.end = std::min(at + 1, reader.line_count());
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
