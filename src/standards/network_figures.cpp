#include "standards/network_figures.h"

#include <array>
#include <map>
#include <string>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

using Figures = std::map<std::string, Figure, std::less<>>;

Figures load_network_figures(SystemVolts system) {
  const DataTable table("network_figures.csv");
  Figures figures;
  for (std::size_t row = 0; row < table.rows(); ++row)
    figures.emplace(table.at(row, table.column("name")), figure_row(table, row, system));
  return figures;
}

}  // namespace

const Figure& network_figure(std::string_view name, SystemVolts system) {
  static const std::array<Figures, 2> both{load_network_figures(SystemVolts::nominal_12),
                                           load_network_figures(SystemVolts::nominal_24)};
  const Figures& figures = both[static_cast<std::size_t>(system)];
  const auto found = figures.find(name);
  if (found == figures.end()) bug("network_figures.csv has no " + std::string(name));
  return found->second;
}

double default_figure(std::string_view name) {
  return network_figure(name, SystemVolts::nominal_12).middle();
}

}  // namespace loomgraft
