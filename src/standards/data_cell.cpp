#include "standards/data_cell.h"

#include <string>

#include "base/bug.h"
#include "base/decimal.h"

namespace loomgraft {

double number_cell(std::string_view text) {
  const std::optional<double> value = read_decimal(text);
  if (!value) bug("data file: no number '" + std::string(text) + "'");
  return *value;
}

std::optional<double> figure_cell(std::string_view text, SystemVolts system) {
  if (text.empty()) return std::nullopt;
  const std::size_t bar = text.find('|');
  if (bar == std::string_view::npos) return number_cell(text);
  return number_cell(system == SystemVolts::nominal_24 ? text.substr(bar + 1) : text.substr(0, bar));
}

Figure figure_row(const DataTable& table, std::size_t row, SystemVolts system) {
  const auto cell = [&](std::string_view name) -> const std::string& {
    return table.at(row, table.column(name));
  };
  Figure figure{figure_cell(cell("low"), system),
                figure_cell(cell("typical"), system),
                figure_cell(cell("high"), system),
                cell("unit"),
                cell("source"),
                cell("status")};
  if (!figure.lowest && !figure.typical && !figure.highest)
    bug("data file: a row without a figure, " + table.at(row, 0));
  return figure;
}

}  // namespace loomgraft
