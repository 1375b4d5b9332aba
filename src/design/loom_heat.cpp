// The conductor temperature of every planned wire at its largest current in any load case: in its bundle on each path it
// takes, as hot as the hotter of the path and the places that it joins, and alone in the hottest air on its way.
#include <algorithm>

#include "design/checks_internal.h"
#include "loom/routes.h"
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
    const double unknown = network_figure("ambient_c", system_of(run.graft->vehicle.supply)).high();
    bundle.air = path.hottest.value_or(Celsius{unknown});
    bundle.air_assumed = !path.hottest;
    for (const std::string& end : {path.from, path.to}) {
      if (const auto air = air_at_place(*run.graft, end)) bundle.air = std::max(bundle.air, *air);
    }
    bundles.push_back(std::move(bundle));
  }
  return bundles;
}

// The hottest conductor, and the hottest air whether that is where the conductor is hottest or not.
void keep_hotter(LoomHeat& heat, const std::string& wire, WireHeat found) {
  const auto [known, is_new] = heat.emplace(wire, found);
  if (is_new) return;
  const Celsius air = std::max(found.air, known->second.air);
  const bool assumed = found.air_assumed || known->second.air_assumed;
  const bool hotter =
      found.runs_away || (!known->second.runs_away && found.conductor > known->second.conductor);
  if (hotter) known->second = found;
  known->second.air = air;
  known->second.air_assumed = assumed;
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

std::optional<Celsius> air_at_place(const Graft& graft, const std::string& place) {
  for (const LoomPlace& item : graft.places) {
    if (!place.empty() && item.id == place) return item.hottest;
  }
  return std::nullopt;
}

HottestAir air_at_device(const Graft& graft, const Device& device) {
  if (const auto air = air_at_place(graft, device.place)) return {*air, false};
  return {{network_figure("ambient_c", system_of(graft.vehicle.supply)).high()}, true};
}

HottestAir hottest_air(const Graft& graft, const Wire& wire) {
  std::optional<Celsius> hottest;
  bool unknown_path = false;
  const auto note = [&](const std::optional<Celsius>& air) {
    if (air && (!hottest || *air > *hottest)) hottest = air;
  };
  for (const LoomPath& path : graft.paths) {
    if (std::find(wire.along.begin(), wire.along.end(), path.id) == wire.along.end()) continue;
    unknown_path = unknown_path || !path.hottest;
    note(path.hottest);
    note(air_at_place(graft, path.from));
    note(air_at_place(graft, path.to));
  }
  for (const WireEnd& end : {wire.from, wire.to}) note(air_at_place(graft, place_at(graft, end.at)));
  const Celsius unknown{network_figure("ambient_c", system_of(graft.vehicle.supply)).high()};
  if (!hottest) return {unknown, true};
  return {unknown_path ? std::max(*hottest, unknown) : *hottest, unknown_path};
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
    heat_alone(run, wire, currents.at(wire.id), heat);
  }
  return heat;
}

}  // namespace loomgraft::design
