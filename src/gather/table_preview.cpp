#include "gather/table_preview.h"

#include <algorithm>

namespace loomgraft::gather {

TablePreview preview_of(const Table& table, const ColumnPlan& plan, std::size_t rows_shown) {
  TablePreview preview;
  preview.name = table.name;
  preview.reason = plan.reason;
  for (std::size_t column = 0; column < plan.roles.size(); ++column) {
    const ColumnRole role = plan.roles[column];
    std::string doubt;
    if (role == ColumnRole::unknown) doubt = "Neither its head nor its cells say what it is.";
    if (role == ColumnRole::cavity && plan.doubtful) doubt = plan.reason;
    preview.columns.push_back({name_of_column(table, column), std::string(name_of(role)), std::move(doubt)});
  }
  for (std::size_t row = 0; row < std::min(table.rows.size(), rows_shown); ++row) {
    preview.rows.emplace_back();
    for (const Cell& cell : table.rows[row]) preview.rows.back().push_back(cell.text);
  }
  return preview;
}

}  // namespace loomgraft::gather
