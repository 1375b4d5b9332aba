#include "text/csv.h"

#include <algorithm>
#include <string_view>
#include <utility>

#include "base/decimal.h"

namespace loomgraft {
namespace {

bool runs_as_formula(const std::string& cell) {
  return !cell.empty() && std::string_view("=+-@\t\r\n").find(cell.front()) != std::string_view::npos &&
         !read_decimal(cell);
}

std::string quoted(const std::string& cell) {
  if (cell.find_first_of(",;\"\r\n\t") == std::string::npos) return cell;
  std::string out = "\"";
  for (const char c : cell) {
    out += c;
    if (c == '"') out += c;
  }
  return out + '"';
}

// One field from `i`; leaves `i` at the comma, the line end or the end of the text.
std::string take_field(std::string_view text, std::size_t& i) {
  std::string field;
  if (i >= text.size() || text[i] != '"') {
    while (i < text.size() && text[i] != ',' && text[i] != '\r' && text[i] != '\n') field += text[i++];
    return field;
  }
  for (++i; i < text.size(); ++i) {
    if (text[i] != '"') {
      field += text[i];
    } else if (i + 1 < text.size() && text[i + 1] == '"') {
      field += '"';
      ++i;
    } else {
      ++i;
      break;
    }
  }
  return field;
}

std::vector<std::string> take_row(std::string_view text, std::size_t& i) {
  std::vector<std::string> row;
  while (true) {
    row.push_back(take_field(text, i));
    if (i >= text.size()) return row;
    const char end = text[i++];
    if (end == '\r' && i < text.size() && text[i] == '\n') ++i;
    if (end != ',') return row;
  }
}

}  // namespace

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += ',';
    line += quoted(runs_as_formula(cells[i]) ? "'" + cells[i] : cells[i]);
  }
  return line + "\r\n";
}

std::vector<std::vector<std::string>> read_csv(std::string_view text) {
  std::vector<std::vector<std::string>> rows;
  for (std::size_t i = 0; i < text.size();) {
    std::vector<std::string> row = take_row(text, i);
    if (row.size() > 1 || !row[0].empty()) rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace loomgraft
