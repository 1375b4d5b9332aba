// Tables as short text, so that a test shows at a glance what was read: cells parted by "|", rows by line
// ends.
#pragma once

#include <string>

#include "tables/table.h"

namespace loomgraft::testing {

inline std::string print_row(const std::vector<Cell>& row) {
  std::string out;
  for (std::size_t i = 0; i < row.size(); ++i) out.append(i == 0 ? "" : "|").append(row[i].text);
  return out;
}

// The header (empty line where there is none) and the rows.
inline std::string print_table(const Table& table) {
  std::string out = print_row(table.header) + "\n";
  for (const auto& row : table.rows) out.append(print_row(row)).append("\n");
  return out;
}

inline std::string only_table(std::string_view text, const std::string& file = "table.txt") {
  const TableText found = find_tables(text, file);
  if (found.tables.size() != 1) return std::to_string(found.tables.size()) + " tables";
  return print_table(found.tables[0]);
}

inline std::string codes(const Problems& problems) {
  std::string out;
  for (const Problem& problem : problems)
    out.append(out.empty() ? "" : " ")
        .append(std::string(problem.code) + "@" + std::to_string(problem.location.line) + ":" +
                std::to_string(problem.location.column));
  return out;
}

inline std::string location_of(const Cell& cell) {
  return std::to_string(cell.line) + ":" + std::to_string(cell.column);
}

}  // namespace loomgraft::testing
