#include "compare/settle_bands.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/bug.h"

namespace loomgraft::compare {
namespace {

// One corner of the tolerances.
struct Corner {
  bool high_resistance = false;
  bool high_battery = false;  // in ohms: high resistance of the other consumers
};
constexpr Corner corners[] = {{false, false}, {false, true}, {true, false}, {true, true}};

struct TestCircuit {
  MeterTask task;
  SystemVolts system;
  Corner corner;
  Circuit circuit;
  NodeId probe;
  NodeId rail = earth_node;  // battery plus with its negative lifted, in ohms

  double rule(std::string_view name) const { return contention_rule(name, system); }
};

double ohms_of(const PinState& state, bool high) {
  return high ? state.highest.si : state.lowest.si;
}

bool present_with_plug_off(const PinState& state) {
  switch (state.leads_to) {
    case LeadsTo::earth:
    case LeadsTo::battery:
    case LeadsTo::ignition:
    case LeadsTo::bus:
    case LeadsTo::open:
      return true;
    case LeadsTo::sensor_earth:  // joined through the module
    case LeadsTo::reference:
    case LeadsTo::module:
      return false;
  }
  return false;
}

bool fed(const PinState& state) {
  return state.leads_to == LeadsTo::battery || state.leads_to == LeadsTo::ignition;
}

// The state in the circuit of a live vehicle.
void add_live(TestCircuit& test, const PinState& state, bool high_resistance) {
  const Ohms ohms{ohms_of(state, high_resistance)};
  Volts volts = state.volts;
  if (state.from_supply && !test.corner.high_battery) volts = {test.rule("battery_low_volts")};
  if (state.one_way == OneWay::into) {
    test.circuit.diodes.push_back({test.probe, earth_node, volts, ohms, {test.rule("insulation")}});
  } else {
    test.circuit.sources.push_back({test.probe, earth_node, volts, ohms, state.limit});
  }
}

// The state with every source dead: a path to earth, or to the rail that other consumers join to earth.
void add_dead(TestCircuit& test, const PinState& state) {
  const Ohms ohms{ohms_of(state, test.corner.high_resistance)};
  if (state.one_way == OneWay::into) {
    test.circuit.diodes.push_back({test.probe, earth_node, state.volts, ohms, {test.rule("insulation")}});
  } else {
    test.circuit.resistors.push_back({test.probe, fed(state) ? test.rail : earth_node, ohms});
  }
}

TestCircuit make_test_circuit(MeterTask task, SystemVolts system, Corner corner) {
  TestCircuit test{task, system, corner, {}, {}, earth_node};
  test.probe = test.circuit.add_node();
  test.circuit.resistors.push_back({test.probe, earth_node, {test.rule("insulation")}});
  if (measures_ohms(task)) {
    const char* low = task == MeterTask::module_ohms_to_case ? "module_rail_low" : "rail_to_earth_low";
    const char* high = task == MeterTask::module_ohms_to_case ? "module_rail_high" : "rail_to_earth_high";
    test.rail = test.circuit.add_node();
    test.circuit.resistors.push_back({test.rail, earth_node, {test.rule(corner.high_battery ? high : low)}});
  }
  return test;
}

MeterCircuit with_meter(TestCircuit test, std::string state) {
  const NodeId black = test.task == MeterTask::loom_ohms_to_battery ? test.rail : earth_node;
  if (measures_ohms(test.task)) {
    test.circuit.sources.push_back({test.probe,
                                    black,
                                    {test.rule("meter_ohms_volts")},
                                    {test.rule("meter_ohms_inner")},
                                    {test.rule("meter_ohms_current")}});
  } else {
    test.circuit.resistors.push_back({test.probe, black, {test.rule("meter_volts_resistance")}});
  }
  return {std::move(test.circuit), test.probe, black, std::move(state)};
}

bool key_is(const PinState& state, KeyState key) {
  return state.key == KeyState::any || state.key == key;
}

void add_loom_live(std::vector<MeterCircuit>& found, MeterTask task, const PinModel& loom,
                   SystemVolts system) {
  const KeyState key = task == MeterTask::loom_volts_key_on ? KeyState::on : KeyState::off;
  for (const PinState& state : loom.states) {
    if (!key_is(state, key)) continue;
    for (const Corner corner : corners) {
      TestCircuit test = make_test_circuit(task, system, corner);
      if (present_with_plug_off(state)) add_live(test, state, corner.high_resistance);
      found.push_back(with_meter(std::move(test), state.name));
    }
  }
}

void add_dead_states(std::vector<MeterCircuit>& found, MeterTask task, const PinModel& model,
                     SystemVolts system) {
  for (const PinState& state : model.states) {
    if (!key_is(state, KeyState::off)) continue;
    for (const Corner corner : corners) {
      TestCircuit test = make_test_circuit(task, system, corner);
      if (task == MeterTask::module_ohms_to_case || present_with_plug_off(state)) add_dead(test, state);
      found.push_back(with_meter(std::move(test), state.name));
    }
  }
}

void add_plugged(std::vector<MeterCircuit>& found, MeterTask task, PinClass pin_class, SystemVolts system) {
  for (const PinState& loom : pin_model(pin_class, PinSide::loom, system).states) {
    for (const PinState& pin : pin_model(pin_class, PinSide::module, system).states) {
      if (!key_is(loom, KeyState::on) || !key_is(pin, KeyState::on)) continue;
      for (const Corner corner : corners) {
        for (const bool pin_high : {false, true}) {
          TestCircuit test = make_test_circuit(task, system, corner);
          add_live(test, loom, corner.high_resistance);
          add_live(test, pin, pin_high);
          found.push_back(with_meter(std::move(test), loom.name + ", " + pin.name));
        }
      }
    }
  }
}

}  // namespace

bool measures_ohms(MeterTask task) {
  return task == MeterTask::loom_ohms_to_earth || task == MeterTask::loom_ohms_to_battery ||
         task == MeterTask::module_ohms_to_case;
}

std::vector<MeterCircuit> meter_circuits(MeterTask task, PinClass pin_class, SystemVolts system) {
  std::vector<MeterCircuit> found;
  switch (task) {
    case MeterTask::loom_volts_key_off:
    case MeterTask::loom_volts_key_on:
      add_loom_live(found, task, pin_model(pin_class, PinSide::loom, system), system);
      break;
    case MeterTask::back_probe_volts_key_on:
      add_plugged(found, task, pin_class, system);
      break;
    case MeterTask::loom_ohms_to_earth:
    case MeterTask::loom_ohms_to_battery:
      add_dead_states(found, task, pin_model(pin_class, PinSide::loom, system), system);
      break;
    case MeterTask::module_ohms_to_case:
      add_dead_states(found, task, pin_model(pin_class, PinSide::module, system), system);
      break;
  }
  return found;
}

double meter_reading(MeterTask task, const MeterCircuit& circuit, SystemVolts system) {
  const auto point = solve(circuit.circuit);
  if (!point) bug("pin data make no circuit: " + circuit.state);
  const double volts = point->nodes[circuit.red.value].si - point->nodes[circuit.black.value].si;
  if (!measures_ohms(task)) return volts;
  const double most = contention_rule("meter_over_range", system);
  const double current = point->sources.back().si;
  if (!(current > 0.0)) return most;
  return std::min(volts / current + contention_rule("meter_leads", system), most);
}

double meter_accuracy(MeterTask task, double reading, SystemVolts system) {
  const char* share = measures_ohms(task) ? "meter_ohms_reading" : "meter_volts_reading";
  const char* floor = measures_ohms(task) ? "meter_ohms_floor" : "meter_volts_floor";
  return contention_rule(share, system) * std::abs(reading) + contention_rule(floor, system);
}

std::vector<ReadingBand> reading_bands(MeterTask task, PinClass pin_class, SystemVolts system) {
  std::vector<ReadingBand> bands;
  for (const MeterCircuit& circuit : meter_circuits(task, pin_class, system)) {
    const double reading = meter_reading(task, circuit, system);
    if (bands.empty() || bands.back().state != circuit.state)
      bands.push_back({reading, reading, circuit.state});
    bands.back().low = std::min(bands.back().low, reading);
    bands.back().high = std::max(bands.back().high, reading);
  }
  for (ReadingBand& band : bands) {
    band.low -= meter_accuracy(task, band.low, system);
    band.high += meter_accuracy(task, band.high, system);
    if (!measures_ohms(task)) continue;
    band.low = std::max(band.low, 0.0);
    band.high = std::min(band.high, contention_rule("meter_over_range", system));
  }
  return bands;
}

}  // namespace loomgraft::compare
