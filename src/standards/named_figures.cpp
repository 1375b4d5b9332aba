#include "standards/named_figures.h"

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {

NamedFigures::NamedFigures(const char* table, const char* column) : table_(table) {
  const DataTable rows(table);
  for (std::size_t row = 0; row < rows.rows(); ++row)
    figures_[rows.at(row, rows.column("name"))] = number_cell(rows.at(row, rows.column(column)));
}

double NamedFigures::at(std::string_view name) const {
  const auto found = figures_.find(name);
  if (found == figures_.end()) bug(table_ + " has no " + std::string(name));
  return found->second;
}

}  // namespace loomgraft
