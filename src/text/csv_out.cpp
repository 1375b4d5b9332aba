#include "text/csv_out.h"

#include <algorithm>
#include <charconv>
#include <string_view>

namespace loomgraft {
namespace {

bool is_number(std::string_view cell) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  return error == std::errc{} && end == cell.data() + cell.size();
}

bool runs_as_formula(const std::string& cell) {
  return !cell.empty() && std::string_view("=+-@\t\r\n").find(cell.front()) != std::string_view::npos &&
         !is_number(cell);
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

}  // namespace

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += ',';
    line += quoted(runs_as_formula(cells[i]) ? "'" + cells[i] : cells[i]);
  }
  return line + "\r\n";
}

}  // namespace loomgraft
