#include "donor/cost.h"

#include <stdexcept>
#include <string>

#include "standards/data_table.h"

namespace loomgraft {
namespace {

DonorCosts load() {
  DonorCosts costs;
  const std::pair<std::string_view, double*> members[] = {
      {"fire", &costs.fire},
      {"damage", &costs.damage},
      {"false_signal", &costs.false_signal},
      {"clash", &costs.clash},
      {"unsure", &costs.unsure},
      {"shift", &costs.shift},
      {"retire", &costs.retire},
      {"add_supply", &costs.add_supply},
      {"add_earth", &costs.add_earth},
      {"add_driver", &costs.add_driver},
      {"add_switch", &costs.add_switch},
      {"add_sensor", &costs.add_sensor},
      {"add_bus", &costs.add_bus},
      {"add_other", &costs.add_other},
      {"no_hardware", &costs.no_hardware},
      {"tag_stop", &costs.tag_stop},
      {"tag_attention", &costs.tag_attention},
  };
  const DataTable table("donor_costs.csv");
  const std::size_t name = table.column("name");
  const std::size_t points = table.column("points");
  for (const auto& [wanted, member] : members) {
    std::size_t row = 0;
    while (row < table.rows() && table.at(row, name) != wanted) ++row;
    if (row == table.rows()) throw std::logic_error("donor_costs.csv has no row " + std::string(wanted));
    *member = std::stod(table.at(row, points));
  }
  return costs;
}

}  // namespace

const DonorCosts& donor_costs() {
  static const DonorCosts costs = load();
  return costs;
}

double cost_of(Grade grade, const DonorCosts& costs) {
  switch (grade) {
    case Grade::harmless:
      return 0.0;
    case Grade::false_signal:
      return costs.false_signal;
    case Grade::damage:
      return costs.damage;
    case Grade::fire:
      return costs.fire;
  }
  return 0.0;
}

double cost_of_add(const PinKey& donor, const DonorCosts& costs) {
  switch (donor.pin_class) {
    case PinClass::supply_30:
    case PinClass::supply_15:
      return costs.add_supply;
    case PinClass::power_earth:
      return costs.add_earth;
    case PinClass::low_side_driver:
    case PinClass::high_side_driver:
    case PinClass::push_pull:
    case PinClass::ignition_trigger:
    case PinClass::injector:
    case PinClass::supply_output:
      return costs.add_driver;
    case PinClass::switch_to_earth_input:
    case PinClass::switch_to_supply_input:
      return costs.add_switch;
    case PinClass::sensor_earth:
    case PinClass::reference_5v:
    case PinClass::voltage_input:
    case PinClass::thermistor_input:
    case PinClass::variable_reluctance:
    case PinClass::digital_sensor_input:
    case PinClass::knock:
    case PinClass::oxygen_sensor:
    case PinClass::shield:
      return costs.add_sensor;
    case PinClass::serial_line:
    case PinClass::can_high:
    case PinClass::can_low:
      return costs.add_bus;
    case PinClass::unknown:
    case PinClass::no_connection:
      return costs.add_other;
  }
  return costs.add_other;
}

double cost_of(const Decision& decision, const PinKey* donor, const DonorCosts& costs) {
  double cost = cost_of(decision.grade, costs);
  if (donor && !donor->hardware) cost += costs.no_hardware;
  switch (decision.verdict) {
    case Verdict::keep:
      return cost;
    case Verdict::shift:
      return cost + costs.shift;
    case Verdict::add:
      return cost + (donor ? cost_of_add(*donor, costs) : 0.0);
    case Verdict::retire:
      return cost + costs.retire;
    case Verdict::clash:
      return cost + (donor ? costs.clash : costs.retire);
    case Verdict::unsure:
      return cost + costs.unsure;
  }
  return cost;
}

double cost_of(const std::vector<TagFinding>& findings, const DonorCosts& costs) {
  double cost = 0.0;
  for (const TagFinding& finding : findings) {
    if (finding.weight == TagWeight::stop) cost += costs.tag_stop;
    if (finding.weight == TagWeight::attention) cost += costs.tag_attention;
  }
  return cost;
}

}  // namespace loomgraft
