#include "gather/seen_table.h"

#include <algorithm>

namespace loomgraft::gather {

SeenTable seen_table(const Table& table, const ColumnPlan& plan, std::size_t rows_shown) {
  SeenTable seen;
  seen.name = table.name;
  seen.reason = plan.reason;
  for (std::size_t column = 0; column < plan.roles.size(); ++column) {
    const ColumnRole role = plan.roles[column];
    std::string doubt;
    if (role == ColumnRole::unknown) doubt = "Neither its head nor its cells say what it is.";
    if (role == ColumnRole::cavity && plan.doubtful) doubt = plan.reason;
    seen.columns.push_back({name_of_column(table, column), std::string(name_of(role)), std::move(doubt)});
  }
  for (std::size_t row = 0; row < std::min(table.rows.size(), rows_shown); ++row) {
    seen.rows.emplace_back();
    for (const Cell& cell : table.rows[row]) seen.rows.back().push_back(cell.text);
  }
  return seen;
}

}  // namespace loomgraft::gather
