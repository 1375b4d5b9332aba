#include "donor/cost.h"

#include "standards/named_figures.h"

namespace loomgraft {
namespace {

DonorCosts load() {
  const NamedFigures points("donor_costs.csv", "points");
  DonorCosts costs;
  costs.fire = points.at("fire");
  costs.injury = points.at("injury");
  costs.damage = points.at("damage");
  costs.false_signal = points.at("false_signal");
  costs.clash = points.at("clash");
  costs.unsure = points.at("unsure");
  costs.shift = points.at("shift");
  costs.retire = points.at("retire");
  costs.add_supply = points.at("add_supply");
  costs.add_earth = points.at("add_earth");
  costs.add_driver = points.at("add_driver");
  costs.add_switch = points.at("add_switch");
  costs.add_sensor = points.at("add_sensor");
  costs.add_bus = points.at("add_bus");
  costs.add_other = points.at("add_other");
  costs.no_hardware = points.at("no_hardware");
  costs.tag_stop = points.at("tag_stop");
  costs.tag_attention = points.at("tag_attention");
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
    case Grade::injury:
      return costs.injury;
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
