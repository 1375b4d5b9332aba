#include "design/assumptions.h"

#include <algorithm>

#include "design/checks_internal.h"
#include "design/sources.h"
#include "network/frame.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

std::string from_to(std::string_view name, SystemVolts system, std::string (*text)(double)) {
  const Figure figure = network_figure(name, system);
  return text(figure.low()) + " to " + text(figure.high());
}

std::string volts_text(double value) {
  return print(Volts{value});
}

std::string ohms_text(double value) {
  return print(Ohms{value});
}

void add_supply(const SizingRun& run, std::vector<Assumption>& list) {
  const SystemVolts system = system_of(run);
  list.push_back({"vehicle", "supply", from_to("working_v", system, volts_text),
                  "nobody measured it: coils are judged at the lowest, drops and currents at the highest"});
  for (const Device& device : run.graft->devices) {
    if (device.kind != "battery" || run.frame->forbidden.has_device(device.id) || device.resistance) continue;
    list.push_back({device.id, "resistance", from_to("battery_ohm", system, ohms_text),
                    "nobody stated it: short-circuit currents are judged at the lowest, volts under load at "
                    "the highest"});
  }
}

void add_modules(const SizingRun& run, std::vector<Assumption>& list) {
  for (const Module& module : run.graft->modules) {
    const bool wired = std::ranges::any_of(run.loom->wires, [&](const Wire& wire) {
      const auto at = [&](const WireEnd& end) {
        return std::ranges::find(module.connectors, end.at) != module.connectors.end();
      };
      return at(wire.from) || at(wire.to);
    });
    if (wired)
      list.push_back(
          {module.id, "resistance", "the usual of each class of pin",
           "nobody measured its outputs and inputs: currents and levels at its pins depend on them"});
  }
}

void add_wires(const SizingRun& run, std::vector<Assumption>& list) {
  for (const std::string& id : run.loom->added) {
    const Wire* wire = planned_wire(run, id);
    if (!wire) continue;
    const HottestAir air = hottest_air(*run.graft, *wire);
    if (air.assumed)
      list.push_back(
          {id, "air", print(air.air),
           "nobody stated how hot its way gets: hotter air needs a larger wire or a better insulation"});
    const ChosenInsulation chosen = insulation_of(*wire);
    if (chosen.assumed)
      list.push_back({id, "insulation", chosen.insulation->name,
                      "nobody stated it: a lower class needs a larger wire or a smaller fuse"});
  }
}

void add_fuses(const SizingRun& run, std::vector<Assumption>& list) {
  std::set<std::string> seen;
  for (const AlteredCircuit& circuit : run.loom->circuits) {
    for (const Device* fuse : fuses_of(run, circuit)) {
      if (!seen.insert(fuse->id).second) continue;
      const FusePart part = fuse_part(run, *fuse);
      if (part.family_assumed)
        list.push_back(
            {fuse->id, "family", part.family->name,
             "nobody stated it: how fast it opens, what it interrupts and what it loses depend on it"});
      const HottestAir air = air_at_device(*run.graft, *fuse);
      if (air.assumed)
        list.push_back({fuse->id, "air", print(air.air), "no place is stated: a hotter fuse carries less"});
    }
  }
}

void add_sources(const SizingRun& run, std::vector<Assumption>& list) {
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  for (const FeedingSource& source : feeding_sources(run, load_case)) {
    if (source.assumed)
      list.push_back({source.device->id, "rating", print(source.most),
                      "nobody stated it: its wires and fuses must carry all of it"});
  }
}

}  // namespace

std::vector<Assumption> design_assumptions(const SizingRun& run) {
  std::vector<Assumption> list;
  if (run.loom->circuits.empty()) return list;
  add_supply(run, list);
  add_modules(run, list);
  add_wires(run, list);
  add_fuses(run, list);
  add_sources(run, list);
  return list;
}

}  // namespace loomgraft::design
