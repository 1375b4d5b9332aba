// The conductor temperature of every planned wire at its largest current in any load case: in its bundle on each path it
// takes, as hot as the hotter of the path and the places that it joins, and alone in the hottest air on its way.
#include <algorithm>

#include "design/checks_internal.h"
#include "loom/routes.h"
#include "standards/network_figures.h"

namespace loomgraft::design {

// What no size of a wire changes.
struct HeatPlan {
  struct Member {
    std::string id;
    std::size_t planned = 0;  // index in SizingRun::planned
    const Insulation* insulation = nullptr;
    ThermalWire as_stated;  // where the run does not size it
    HottestAir around;      // of a wire alone
  };
  struct Bundle {
    std::string path;
    Celsius air;
    bool air_assumed = false;
    std::vector<Member> wires;
  };
  std::vector<Bundle> bundles;
  std::vector<Member> alone;
};

namespace {

HeatPlan::Member member_of(const SizingRun& run, const Wire& wire, std::size_t planned) {
  const double assumed = network_figure("wire_mm2", system_of(run)).middle();
  const SquareMetres area = wire.area.value_or(square_millimetres(assumed));
  const Insulation& insulation = *insulation_of(wire).insulation;
  return {wire.id, planned, &insulation, thermal_wire(wire_size_of(area), insulation), {}};
}

ThermalWire thermal_of(const SizingRun& run, const HeatPlan::Member& member) {
  const auto size = run.sizes.find(member.id);
  return size == run.sizes.end() ? member.as_stated : thermal_wire(size->second, *member.insulation);
}

std::vector<HeatPlan::Bundle> bundles_of(const SizingRun& run) {
  std::vector<HeatPlan::Bundle> bundles;
  for (const LoomPath& path : run.graft->paths) {
    HeatPlan::Bundle bundle;
    bundle.path = path.id;
    for (std::size_t k = 0; k < run.planned.size(); ++k) {
      const Wire& wire = run.planned[k];
      if (std::ranges::find(wire.along, path.id) != wire.along.end())
        bundle.wires.push_back(member_of(run, wire, k));
    }
    if (bundle.wires.empty()) continue;
    const double unknown = network_figure("ambient_c", system_of(run)).high();
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

void heat_bundle(const SizingRun& run, const HeatPlan::Bundle& bundle, const std::vector<Amperes>& currents,
                 LoomHeat& heat) {
  std::vector<BundleWire> members;
  for (const HeatPlan::Member& wire : bundle.wires)
    members.push_back({thermal_of(run, wire), currents[wire.planned]});
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
    keep_hotter(heat, bundle.wires[i].id, found);
  }
}

void heat_alone(const SizingRun& run, const HeatPlan::Member& wire, Amperes current, LoomHeat& heat) {
  const auto temperature = steady_temperature(thermal_of(run, wire), current, {wire.around.air});
  WireHeat found;
  found.current = current;
  found.air = wire.around.air;
  found.air_assumed = wire.around.assumed;
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

std::shared_ptr<const HeatPlan> heat_plan_of(const SizingRun& run) {
  HeatPlan plan;
  plan.bundles = bundles_of(run);
  for (const Wire& wire : run.loom->wires) {
    const Wire* planned = planned_wire(run, wire.id);
    if (!planned) continue;
    plan.alone.push_back(member_of(run, wire, static_cast<std::size_t>(planned - run.planned.data())));
    plan.alone.back().around = hottest_air(*run.graft, wire);
  }
  return std::make_shared<HeatPlan>(std::move(plan));
}

LoomHeat loom_heat(const SizingRun& run) {
  const std::vector<Amperes> currents = greatest_currents(run);
  LoomHeat heat;
  for (const HeatPlan::Bundle& bundle : run.heat_plan->bundles) heat_bundle(run, bundle, currents, heat);
  for (const HeatPlan::Member& wire : run.heat_plan->alone)
    heat_alone(run, wire, currents[wire.planned], heat);
  return heat;
}

}  // namespace loomgraft::design
