#include "standards/copper.h"

#include <string>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

double value_of(const DataTable& table, std::string_view name) {
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.at(row, table.column("name")) == name) return number_cell(table.at(row, table.column("value")));
  }
  bug("copper.csv has no " + std::string(name));
}

Copper load_copper() {
  const DataTable table("copper.csv");
  return {value_of(table, "resistivity"),    value_of(table, "temperature_coefficient"),
          value_of(table, "density"),        value_of(table, "specific_heat"),
          value_of(table, "conductivity"),   value_of(table, "adiabatic_constant"),
          value_of(table, "adiabatic_beta"), Celsius{value_of(table, "melting")},
          value_of(table, "strand_lay")};
}

}  // namespace

const Copper& copper() {
  static const Copper figures = load_copper();
  return figures;
}

double copper_factor(Celsius temperature) {
  return 1.0 + copper().temperature_coefficient * (temperature - Celsius{20.0});
}

}  // namespace loomgraft
