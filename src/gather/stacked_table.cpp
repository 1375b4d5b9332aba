#include "gather/stacked_table.h"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "gather/column_roles.h"
#include "text/cavity.h"

namespace loomgraft::gather {
namespace {

using Row = std::vector<Cell>;

constexpr std::size_t kWidest = 24;

std::size_t width_of(const Table& table) {
  std::size_t width = table.header.size();
  for (const Row& row : table.rows) width = std::max(width, row.size());
  return width;
}

std::set<std::string> cavities_of(const Table& table, std::size_t column, std::size_t& filled,
                                  std::size_t& others) {
  std::set<std::string> cavities;
  for (const Row& row : table.rows) {
    const std::string& text = cell_at(row, column).text;
    if (text.find_first_not_of(" -.") == std::string::npos) continue;
    ++filled;
    if (looks_like_cavities(text))
      for (const CavityName& name : read_cavities(text).cavities) cavities.insert(name.cavity);
    else
      ++others;
  }
  return cavities;
}

bool says_something(const Table& table, std::size_t column) {
  const auto worded = [&](const Row& row) {
    const std::string& text = cell_at(row, column).text;
    return text.size() > 1 && !looks_like_cavities(text);
  };
  return 2 * static_cast<std::size_t>(std::count_if(table.rows.begin(), table.rows.end(), worded)) >=
         table.rows.size();
}

// Every column at a multiple of `group` holds cavities of its own, with words in the column behind it.
bool has_groups(const Table& table, std::size_t width, std::size_t group) {
  std::set<std::string> seen;
  for (std::size_t column = 0; column < width; column += group) {
    std::size_t filled = 0;
    std::size_t others = 0;
    const std::set<std::string> cavities = cavities_of(table, column, filled, others);
    if (filled < 2 || 5 * others > filled || 2 * filled < table.rows.size()) return false;
    if (!says_something(table, column + 1)) return false;
    for (const std::string& cavity : cavities)
      if (!seen.insert(cavity).second) return false;
  }
  return true;
}

Table stacked(const Table& table, std::size_t width, std::size_t group) {
  Table result = table;
  result.rows.clear();
  if (result.header.size() > group) result.header.resize(group);
  for (std::size_t from = 0; from < width; from += group) {
    for (const Row& row : table.rows) {
      Row part;
      for (std::size_t i = from; i < std::min(from + group, row.size()); ++i) part.push_back(row[i]);
      const bool empty =
          std::all_of(part.begin(), part.end(), [](const Cell& cell) { return cell.text.empty(); });
      if (!empty) result.rows.push_back(std::move(part));
    }
  }
  return result;
}

}  // namespace

std::optional<Table> stack_table(const Table& table) {
  const std::size_t width = width_of(table);
  if (width < 4 || width > kWidest || table.rows.size() < 2) return std::nullopt;
  for (std::size_t group = 2; 2 * group <= width; ++group)
    if (width % group == 0 && has_groups(table, width, group)) return stacked(table, width, group);
  return std::nullopt;
}

}  // namespace loomgraft::gather
