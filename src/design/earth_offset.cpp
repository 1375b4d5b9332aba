// The shift of a sensor's earth by the currents of others: its earth terminal against the earth of the module that
// reads it, everything on minus at rest, in volts and as a share of the sensor's span.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// The terminal by which a sensor is earthed.
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
const Module* reader_of(const SizingRun& run, const Device& device) {
  for (const Wire& wire : run.planned) {
    const bool from = wire.from.at == device.id;
    if (!from && wire.to.at != device.id) continue;
    const PinAt found = pin_at(*run.graft, from ? wire.to : wire.from);
    if (found.module && found.pin && found.pin->pin_class != PinClass::sensor_earth &&
        found.pin->pin_class != PinClass::power_earth)
      return found.module;
  }
  return nullptr;
}

std::optional<double> offset_in(const LoadCase& load_case, const Device& device, const std::string& terminal,
                                const Module& reader) {
  const auto node = node_at(load_case.network, {device.id, terminal});
  const auto earth = module_earth_node(load_case.network, reader.id);
  if (!node || !load_case.solved) return std::nullopt;
  return volts_at(load_case, *node).si - (earth ? volts_at(load_case, *earth).si : 0.0);
}

std::string in_its_units(const SizingRun& run, const Device& device, double offset) {
  const auto span = device_figure(device, "span_v", system_of(run));
  const double volts = span ? span->figure.middle() : 5.0;
  const double share = offset / volts * 100.0;
  return std::to_string(std::round(share * 100.0) / 100.0).substr(0, 5) + " % of its span of " +
         print(Volts{volts});
}

}  // namespace

std::vector<Check> earth_offset_checks(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<Check> checks;
  for (const std::string& id : circuit.devices) {
    const Device* device = find_device(*run.graft, id);
    const auto terminal = device ? earth_terminal(*device) : std::nullopt;
    const Module* reader = terminal ? reader_of(run, *device) : nullptr;
    if (!reader) continue;
    const LoadCase& busy = load_case_of(run, LoadCaseKind::everything_on, Corner::weakest);
    const LoadCase& quiet = load_case_of(run, LoadCaseKind::at_rest, Corner::weakest);
    const auto with = offset_in(busy, *device, *terminal, *reader);
    const auto without = offset_in(quiet, *device, *terminal, *reader);
    if (!with || !without) continue;
    const double offset = std::abs(*with - *without);
    Check check = make_check(CheckKind::earth_offset, device_subject(id),
                             "shift of the sensor's earth by the currents of others",
                             {offset * 1e3, rule(*run.rules, "sensor_earth_offset_v") * 1e3, "mV", true});
    check.condition = text_of(busy) + ", against " + quiet.condition.name;
    check.why = {"volts from the sensor's earth terminal to its module's earth, everything on minus at rest",
                 rule_source(*run.rules, "sensor_earth_offset_v"),
                 {{"in the sensor's units", in_its_units(run, *device, offset), "span of its kind"},
                  {"everything on", print(Volts{*with}), "solved network"},
                  {"at rest", print(Volts{*without}), "solved network"}}};
    checks.push_back(std::move(check));
  }
  return checks;
}

}  // namespace loomgraft::design
