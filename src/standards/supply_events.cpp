#include "standards/supply_events.h"

#include <algorithm>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

SystemVolts system_cell(std::string_view text) {
  if (text == "12") return SystemVolts::nominal_12;
  if (text == "24") return SystemVolts::nominal_24;
  bug("supply_events.csv: no system of " + std::string(text) + " V");
}

std::optional<Ohms> ohms_cell(std::string_view text) {
  return text.empty() ? std::nullopt : std::optional<Ohms>{Ohms{number_cell(text)}};
}

std::vector<SupplyEvent> read_events() {
  const DataTable table("supply_events.csv");
  std::vector<SupplyEvent> events;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    const SystemVolts system = system_cell(cell("system_v"));
    events.push_back({cell("event"), cell("level"), cell("quantity"), system, figure_row(table, row, system),
                      ohms_cell(cell("ri_low_ohm")), ohms_cell(cell("ri_high_ohm")), cell("duration"),
                      cell("standard")});
  }
  return events;
}

}  // namespace

std::span<const SupplyEvent> supply_events() {
  static const std::vector<SupplyEvent> all = read_events();
  return all;
}

const SupplyEvent& supply_event(std::string_view event, std::string_view quantity, SystemVolts system,
                                std::string_view level) {
  const auto all = supply_events();
  const auto found = std::ranges::find_if(all, [&](const SupplyEvent& row) {
    return row.event == event && row.quantity == quantity && row.system == system &&
           (level.empty() || row.level == level);
  });
  if (found == all.end()) bug("supply_events.csv has no " + std::string(event) + " " + std::string(quantity));
  return *found;
}

}  // namespace loomgraft
