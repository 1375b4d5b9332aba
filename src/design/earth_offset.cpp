// What actuators put on the earth of a sensor: the shift of its earth terminal against the earth that its
// module reads by, in volts and in the sensor's own units.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// The terminal that a sensor stands on.
std::optional<std::string> earth_terminal(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind) return std::nullopt;
  const auto& terminals = device.terminals.empty() ? kind->terminals : device.terminals;
  const bool powered = kind->build == DeviceBuild::potentiometer || kind->build == DeviceBuild::sensor;
  const bool two_wires = kind->build == DeviceBuild::thermistor;
  if ((!powered && !two_wires) || terminals.size() < 2) return std::nullopt;
  return terminals[1];
}

// The module that reads the sensor: the one that another of its terminals leads to.
const Module* reader_of(const Trial& trial, const Device& device) {
  for (const Wire& wire : trial.planned) {
    const bool from = wire.from.at == device.id;
    if (!from && wire.to.at != device.id) continue;
    const PinAt found = pin_at(*trial.graft, from ? wire.to : wire.from);
    if (found.module && found.pin && found.pin->pin_class != PinClass::sensor_earth &&
        found.pin->pin_class != PinClass::power_earth)
      return found.module;
  }
  return nullptr;
}

std::optional<double> offset_in(const TrialRun& run, const Device& device, const std::string& terminal,
                                const Module& reader) {
  const auto node = node_at(run.network, {device.id, terminal});
  const auto earth = module_earth_node(run.network, reader.id);
  if (!node || !run.solved) return std::nullopt;
  return volts_at(run, *node).si - (earth ? volts_at(run, *earth).si : 0.0);
}

std::string in_its_units(const Trial& trial, const Device& device, double offset) {
  const auto span = device_figure(device, "span_v", system_of(trial));
  const double volts = span ? span->figure.middle() : 5.0;
  const double share = offset / volts * 100.0;
  return std::to_string(std::round(share * 100.0) / 100.0).substr(0, 5) + " % of its span of " +
         print(Volts{volts});
}

}  // namespace

std::vector<Check> earth_offset_checks(const Trial& trial, const AlteredCircuit& circuit) {
  std::vector<Check> checks;
  for (const std::string& id : circuit.devices) {
    const Device* device = find_device(*trial.graft, id);
    const auto terminal = device ? earth_terminal(*device) : std::nullopt;
    const Module* reader = terminal ? reader_of(trial, *device) : nullptr;
    if (!reader) continue;
    const TrialRun& busy = run_of(trial, TrialState::everything_on, Corner::weakest);
    const TrialRun& quiet = run_of(trial, TrialState::at_rest, Corner::weakest);
    const auto with = offset_in(busy, *device, *terminal, *reader);
    const auto without = offset_in(quiet, *device, *terminal, *reader);
    if (!with || !without) continue;
    const double offset = std::abs(*with - *without);
    Check check =
        make_check(CheckKind::earth_offset, id, "what the currents of others put on the sensor's earth",
                   {offset * 1e3, rule(*trial.rules, "sensor_earth_offset_v") * 1e3, "mV", true});
    check.condition = words_of(busy) + ", against " + quiet.condition.name;
    check.why = {"volts from the sensor's earth terminal to its module's earth, everything on less at rest",
                 rule_source(*trial.rules, "sensor_earth_offset_v"),
                 {{"in the sensor's units", in_its_units(trial, *device, offset), "span of its kind"},
                  {"everything on", print(Volts{*with}), "solved network"},
                  {"at rest", print(Volts{*without}), "solved network"}}};
    checks.push_back(std::move(check));
  }
  return checks;
}

}  // namespace loomgraft::design
