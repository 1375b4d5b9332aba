#include "design/missing.h"

#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "loom/routes.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "network/frame.h"
#include "standards/device_kinds.h"

namespace loomgraft::design {
namespace {

bool leads_nowhere(const SizingRun& run, const WireEnd& end) {
  if (end.at.empty()) return true;
  if (find_device(*run.graft, end.at)) return false;
  return std::ranges::none_of(run.graft->connectors,
                              [&](const Connector& connector) { return connector.id == end.at; });
}

// Then its length is short, and the default value does.
bool stays_in_one_place(const Graft& graft, const Wire& wire) {
  const std::string place = place_at(graft, wire.from.at);
  return !place.empty() && place == place_at(graft, wire.to.at);
}

void note_wire(const SizingRun& run, const Wire& wire, std::vector<Missing>& missing) {
  if (leads_nowhere(run, wire.from) || leads_nowhere(run, wire.to))
    missing.push_back({MissingFact::end, wire.id,
                       "Wire " + run.frame->wire_texts.of(wire.id) + " has an end that leads nowhere."});
  const bool wrong = (wire.length && !(wire.length->si > 0.0)) || (wire.area && !(wire.area->si > 0.0));
  if (wrong)
    missing.push_back({MissingFact::value, wire.id,
                       "Wire " + run.frame->wire_texts.of(wire.id) + " has a size that no wire can have."});
  if (!wire.length && !stays_in_one_place(*run.graft, wire) && !route_length(run.graft->paths, wire.along))
    missing.push_back({MissingFact::length, wire.id,
                       "Nobody has stated how long wire " + run.frame->wire_texts.of(wire.id) + " is."});
}

// What it draws is known from the part: stated or on its model's sheet.
bool load_is_known(const SizingRun& run, const Device& device) {
  for (const char* quantity : {"resistance_ohm", "current_a"}) {
    const auto figure = device_figure(device, quantity, system_of(run));
    if (figure && figure->origin != FigureOrigin::default_value) return true;
  }
  return false;
}

bool needs_load(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || !is_consumer(device)) return false;
  return kind->build == DeviceBuild::resistor || kind->build == DeviceBuild::motor ||
         kind->build == DeviceBuild::lamp || kind->build == DeviceBuild::coil;
}

// A feed of joints, fuses and earths that carries nothing in any condition: what it feeds is not in the document.
bool feeds_nothing(const SizingRun& run, const AlteredCircuit& circuit) {
  constexpr double nothing = 1e-6;  // A: leakage of the insulation
  if (!circuit.devices.empty() || circuit.wires.empty()) return false;
  const std::vector<Amperes> greatest = greatest_currents(run);
  for (std::size_t k = 0; k < run.planned.size(); ++k) {
    const Wire& wire = run.planned[k];
    if (std::ranges::find(circuit.wires, wire.id) == circuit.wires.end()) continue;
    if (std::abs(greatest[k].si) > nothing) return false;
    if (pin_at(*run.graft, wire.from).pin || pin_at(*run.graft, wire.to).pin) return false;
  }
  return true;
}

}  // namespace

std::vector<Missing> missing_facts(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<Missing> missing;
  bool has_added = false;
  for (const std::string& id : circuit.wires) {
    const Wire* wire = planned_wire(run, id);
    if (!wire || !run.loom->added.contains(id)) continue;
    has_added = true;
    note_wire(run, *wire, missing);
  }
  if (!has_added) return missing;
  for (const std::string& id : circuit.devices) {
    const Device* device = find_device(*run.graft, id);
    if (device && needs_load(*device) && !load_is_known(run, *device))
      missing.push_back(
          {MissingFact::load, id, "Nobody has stated what " + device_name(*device) + " draws."});
  }
  if (missing.empty() && feeds_nothing(run, circuit))
    missing.push_back({MissingFact::load, circuit.id, "Nothing that it feeds is in the document."});
  return missing;
}

namespace {

// A part that a wire as found leads to works on this vehicle's supply already.
bool was_there(const Graft& graft, const std::string& id) {
  return std::ranges::any_of(graft.wires,
                             [&](const Wire& wire) { return wire.from.at == id || wire.to.at == id; });
}

// Lamps, coils, motors and heaters take a peak as heat; these have parts that it breaks through.
bool is_electronic(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind && (kind->build == DeviceBuild::led || kind->build == DeviceBuild::sensor ||
                  kind->build == DeviceBuild::controller);
}

std::optional<Missing> unstated_rating(const SizingRun& run, const Device& device) {
  const bool judged = is_consumer(device) || is_electronic(device);
  if (!judged || was_there(*run.graft, device.id) || !supply_share(run, device).on_supply)
    return std::nullopt;
  const bool rated = device_figure(device, "rated_v", system_of(run)).has_value();
  const bool withstands =
      !is_electronic(device) || device_figure(device, "withstands_v", system_of(run)).has_value();
  if (rated && withstands) return std::nullopt;
  const std::string& name = device_name(device);
  return Missing{MissingFact::rating, device.id,
                 rated
                     ? "Nobody has stated what volts " + name + " withstands at a load dump or a jump start."
                     : "Nobody has stated for what supply " + name + " is made."};
}

bool is_wired(const SizingRun& run, const Module& module) {
  return std::ranges::any_of(run.loom->wires, [&](const Wire& wire) {
    return pin_at(*run.graft, wire.from).module == &module || pin_at(*run.graft, wire.to).module == &module;
  });
}

}  // namespace

std::vector<Missing> unstated_ratings(const SizingRun& run) {
  std::vector<Missing> missing;
  for (const Module& module : run.graft->modules) {
    if (module.role != ModuleRole::donor || module.rated || !is_wired(run, module)) continue;
    missing.push_back({MissingFact::rating, module.id,
                       "Nobody has stated for what supply " +
                           (module.name.empty() ? module.id : module.name) + " is made."});
  }
  std::set<std::string> seen;
  for (const AlteredCircuit& circuit : run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*run.graft, id);
      if (!device || !seen.insert(id).second) continue;
      if (auto item = unstated_rating(run, *device)) missing.push_back(std::move(*item));
    }
  }
  return missing;
}

std::vector<Missing> wrong_values(const Problems& problems) {
  std::vector<Missing> missing;
  for (const Problem& problem : problems) {
    if (problem.severity == Severity::error) missing.push_back({MissingFact::value, "", problem.message});
  }
  return missing;
}

}  // namespace loomgraft::design
