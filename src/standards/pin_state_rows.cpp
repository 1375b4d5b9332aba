#include "standards/pin_state_rows.h"

#include <array>
#include <string>
#include <utility>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/supply.h"

namespace loomgraft {
namespace {

template <class Value, std::size_t count>
using Names = std::array<std::pair<std::string_view, Value>, count>;

template <class Value, std::size_t count>
Value named(std::string_view text, const Names<Value, count>& names) {
  for (const auto& [name, value] : names) {
    if (name == text) return value;
  }
  bug("states of pins: unknown name '" + std::string(text) + "'");
}

constexpr Names<KeyState, 3> key_names{
    {{"any", KeyState::any}, {"on", KeyState::on}, {"off", KeyState::off}}};
constexpr Names<OneWay, 2> one_way_names{{{"", OneWay::no}, {"in", OneWay::into}}};
constexpr Names<PinSide, 2> side_names{{{"loom", PinSide::loom}, {"module", PinSide::module}}};
constexpr Names<LeadsTo, 8> leads_to_names{{{"open", LeadsTo::open},
                                            {"earth", LeadsTo::earth},
                                            {"battery", LeadsTo::battery},
                                            {"ignition", LeadsTo::ignition},
                                            {"sensor_earth", LeadsTo::sensor_earth},
                                            {"reference", LeadsTo::reference},
                                            {"module", LeadsTo::module},
                                            {"bus", LeadsTo::bus}}};

}  // namespace

PinState pin_state_row(const DataTable& table, std::size_t row, SystemVolts system) {
  const auto cell = [&](std::string_view name) -> const std::string& {
    return table.at(row, table.column(name));
  };
  PinState state;
  state.name = cell("state");
  state.key = named(cell("key"), key_names);
  state.leads_to = named(cell("leads_to"), leads_to_names);
  state.from_supply = cell("volts") == "supply";
  state.volts = state.from_supply ? supply_volts(system) : Volts{figure_cell(cell("volts"), system).value()};
  state.lowest = Ohms{figure_cell(cell("ohm_low"), system).value()};
  state.highest = Ohms{figure_cell(cell("ohm_high"), system).value()};
  if (const auto limit = figure_cell(cell("limit_a"), system)) state.limit = Amperes{*limit};
  state.one_way = named(cell("one_way"), one_way_names);
  state.inductance = Henries{figure_cell(cell("inductance_h"), system).value_or(0.0)};
  return state;
}

PinClass pin_class_of_row(const DataTable& table, std::size_t row) {
  const std::string& name = table.at(row, table.column("class"));
  const auto pin_class = pin_class_of(name);
  if (!pin_class) bug("states of pins: unknown class '" + name + "'");
  return *pin_class;
}

PinSide pin_side_of_row(const DataTable& table, std::size_t row) {
  return named(table.at(row, table.column("side")), side_names);
}

}  // namespace loomgraft
