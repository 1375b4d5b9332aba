// The conductor temperature of every planned wire at its largest current in any load case, in its bundle on each
// path it takes; a wire on no path is taken alone in the hottest air at its ends.
#include <algorithm>

#include "design/checks_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::design {
namespace {

struct Bundle {
  std::string path;
  Celsius air;
  bool air_assumed = false;
  std::vector<const Wire*> wires;
};

ThermalWire thermal_of(const SizingRun& run, const Wire& wire) {
  const auto size = run.sizes.find(wire.id);
  const double assumed = network_figure("wire_mm2", system_of(run.graft->vehicle.supply)).middle();
  const SquareMetres area = wire.area.value_or(square_millimetres(assumed));
  return thermal_wire(size != run.sizes.end() ? size->second : wire_size_of(area),
                      *insulation_of(wire).insulation);
}

std::vector<Bundle> bundles_of(const SizingRun& run) {
  std::vector<Bundle> bundles;
  for (const LoomPath& path : run.graft->paths) {
    Bundle bundle;
    bundle.path = path.id;
    for (const Wire& wire : run.planned) {
      if (std::find(wire.along.begin(), wire.along.end(), path.id) != wire.along.end())
        bundle.wires.push_back(&wire);
    }
    if (bundle.wires.empty()) continue;
    const double hottest = network_figure("ambient_c", system_of(run.graft->vehicle.supply)).high();
    bundle.air = path.hottest.value_or(Celsius{hottest});
    bundle.air_assumed = !path.hottest;
    bundles.push_back(std::move(bundle));
  }
  return bundles;
}

void keep_hotter(LoomHeat& heat, const std::string& wire, WireHeat found) {
  const auto [known, is_new] = heat.emplace(wire, found);
  if (!is_new && (found.runs_away || found.conductor > known->second.conductor)) known->second = found;
}

void heat_bundle(const SizingRun& run, const Bundle& bundle, const std::map<std::string, Amperes>& currents,
                 LoomHeat& heat) {
  std::vector<BundleWire> members;
  for (const Wire* wire : bundle.wires) members.push_back({thermal_of(run, *wire), currents.at(wire->id)});
  const auto temperatures = bundle_temperatures(members, {bundle.air});
  for (std::size_t i = 0; i < members.size(); ++i) {
    WireHeat found;
    found.current = members[i].current;
    found.air = bundle.air;
    found.air_assumed = bundle.air_assumed;
    found.path = bundle.path;
    found.neighbours = members.size() - 1;
    found.runs_away = !temperatures.has_value();
    if (temperatures) found.conductor = (*temperatures)[i];
    keep_hotter(heat, bundle.wires[i]->id, found);
  }
}

void heat_alone(const SizingRun& run, const Wire& wire, Amperes current, LoomHeat& heat) {
  const HottestAir around = hottest_air(*run.graft, wire);
  const auto temperature = steady_temperature(thermal_of(run, wire), current, {around.air});
  WireHeat found;
  found.current = current;
  found.air = around.air;
  found.air_assumed = around.assumed;
  found.runs_away = !temperature.has_value();
  if (temperature) found.conductor = *temperature;
  keep_hotter(heat, wire.id, found);
}

}  // namespace

HottestAir hottest_air(const Graft& graft, const Wire& wire) {
  std::optional<Celsius> hottest;
  const auto note = [&](const std::optional<Celsius>& air) {
    if (air && (!hottest || *air > *hottest)) hottest = air;
  };
  for (const LoomPath& path : graft.paths) {
    if (std::find(wire.along.begin(), wire.along.end(), path.id) != wire.along.end()) note(path.hottest);
  }
  for (const WireEnd& end : {wire.from, wire.to}) {
    const Device* device = find_device(graft, end.at);
    if (!device) continue;
    for (const LoomPlace& place : graft.places) {
      if (place.id == device->place) note(place.hottest);
    }
  }
  if (hottest) return {*hottest, false};
  return {{network_figure("ambient_c", system_of(graft.vehicle.supply)).high()}, true};
}

ChosenInsulation insulation_of(const Wire& wire) {
  if (const Insulation* stated = insulation(wire.insulation)) return {stated, false};
  // The most common thin-wall class of vehicle looms; the report lists it as assumed.
  return {insulation("class B"), true};
}

LoomHeat loom_heat(const SizingRun& run) {
  std::map<std::string, Amperes> currents;
  const std::vector<Amperes> greatest = greatest_currents(run);
  for (std::size_t i = 0; i < greatest.size(); ++i) currents[run.planned[i].id] = greatest[i];
  LoomHeat heat;
  for (const Bundle& bundle : bundles_of(run)) heat_bundle(run, bundle, currents, heat);
  for (const Wire& wire : run.loom->wires) {
    if (!heat.contains(wire.id)) heat_alone(run, wire, currents.at(wire.id), heat);
  }
  return heat;
}

}  // namespace loomgraft::design
