#include "find/figures.h"

#include <array>
#include <stdexcept>
#include <string>
#include <utility>

#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft::find {
namespace {

FindFigures load() {
  FindFigures figures;
  const std::array<std::pair<const char*, double*>, 7> wanted{{
      {"no_fault", &figures.no_fault},
      {"second_fault", &figures.second_fault},
      {"edge_of_reading", &figures.edge_of_reading},
      {"edge_of_interval", &figures.edge_of_interval},
      {"table_weight", &figures.table_weight},
      {"harm_allowed", &figures.harm_allowed},
      {"repeat_agrees", &figures.repeat_agrees},
  }};
  const DataTable table("find_odds.csv");
  const std::size_t name = table.column("name");
  const std::size_t value = table.column("value");
  for (const auto& [wanted_name, place] : wanted) {
    bool is_there = false;
    for (std::size_t row = 0; row < table.rows(); ++row) {
      if (table.at(row, name) != wanted_name) continue;
      *place = number_cell(table.at(row, value));
      is_there = true;
    }
    if (!is_there) throw std::logic_error("find_odds.csv has no " + std::string(wanted_name));
  }
  return figures;
}

}  // namespace

const FindFigures& find_figures() {
  static const FindFigures figures = load();
  return figures;
}

}  // namespace loomgraft::find
