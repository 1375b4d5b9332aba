// Which loads a jumper may operate, found by solving each in the strongest corner: current flows, the lead
// carries it, and no fuse is overloaded because of it. A load whose feed comes from a relay of the same module
// gets a second jumper for that relay.
#include <algorithm>
#include <cmath>
#include <set>

#include "network/cavity_pins.h"
#include "prove/conditions_internal.h"
#include "prove/figures.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"
#include "units/print.h"

namespace loomgraft::prove {
namespace {

std::size_t most_tried() {
  static const auto count = static_cast<std::size_t>(prove_figure("jumpers_tried"));
  return count;
}

bool is_high_side(const ProveScope& scope, const CavityRef& at) {
  const PinAt found = pin_at(*scope.graft, {at.connector, at.cavity});
  return found.pin && found.pin->pin_class == PinClass::high_side_driver;
}

Jumper jumper_at(const ProveScope& scope, const CavityRef& at) {
  const WireEnd end{at.connector, at.cavity};
  const bool high = is_high_side(scope, at);
  const WireEnd post = high ? WireEnd{scope.battery, "+"} : WireEnd{"body", ""};
  return {end, post,
          "a lead with a " + print(Amperes{default_figure("jumper_fuse_a")}) + " fuse from " +
              end_text(scope, end) + ", mating face, to " +
              (high ? "the battery's positive post" : "the body")};
}

// The leakage of insulation and open contacts is unknown within decades, and a meter of 10 MΩ sees it: bands
// must be right whatever it is.
void spread_leakage(LoomNetwork& network, Corner corner, SystemVolts system) {
  const double ohms = corner == Corner::strongest ? contention_rule("insulation", system)
                                                  : network_figure("leakage_ohm", system).high();
  const double open_from = default_figure("apart_ohm");
  for (const NetworkBranch& branch : network.branches) {
    if (branch.list != ElementList::resistor) continue;
    Ohms& resistance = network.circuit.resistors[branch.index].resistance;
    const bool apart = branch.kind == BranchKind::contacts && resistance.si > open_from;
    if (branch.kind == BranchKind::leakage || (apart && corner == Corner::weakest)) resistance = {ohms};
  }
  // A module's own 5 V varies too.
  const double module_volts = default_figure("module_volts_share");
  for (const NetworkBranch& branch : network.branches) {
    if (branch.kind != BranchKind::pin || branch.list != ElementList::source) continue;
    Volts& volts = network.circuit.sources[branch.index].voltage;
    volts = volts * (corner == Corner::weakest ? 1.0 - module_volts : 1.0 + module_volts);
  }
  for (NetworkRelay& relay : network.relays) {
    if (corner == Corner::weakest) relay.open = {std::max(relay.open.si, ohms)};
  }
}

LoomNetwork network_without_jumpers(const ProveScope& scope, const Condition& condition, Corner corner) {
  NetworkOptions options;
  options.crimps = true;
  options.corner = corner;
  LoomNetwork network = network_of(*scope.frame, condition, options);
  if (corner != Corner::nominal) spread_leakage(network, corner, system_of(scope.graft->vehicle.supply));
  return network;
}

Ohms load_of(const Jumper& jumper, Corner corner, Ohms lead) {
  if (!(jumper.load.si > 0.0)) return lead;
  if (corner == Corner::nominal) return jumper.load;
  return jumper.load * (corner == Corner::weakest ? 1.0 + jumper.spread : 1.0 - jumper.spread);
}

// The branches added. A jumper without a node at either end is left out.
std::vector<std::size_t> add_jumpers(LoomNetwork& network, const ProveScope& scope,
                                     const std::vector<Jumper>& jumpers, Corner corner) {
  std::vector<std::size_t> added;
  const double ohms = network_figure("meter_shunt_ohm", system_of(scope.graft->vehicle.supply)).middle();
  for (const Jumper& jumper : jumpers) {
    const auto from = face_node_at(network, jumper.from);
    const auto to = jumper.to.at == "body" ? std::optional(earth_node) : node_at(network, jumper.to);
    if (!from || !to) continue;
    network.circuit.resistors.push_back({*from, *to, load_of(jumper, corner, Ohms{ohms})});
    added.push_back(network.branches.size());
    network.branches.push_back({BranchKind::joint,
                                "jumper",
                                jumper.text,
                                *from,
                                *to,
                                ElementList::resistor,
                                network.circuit.resistors.size() - 1,
                                {}});
  }
  return added;
}

Jumper lamp_at(const ProveScope& scope, const CavityRef& at, double watts) {
  const WireEnd end{at.connector, at.cavity};
  const PinAt found = pin_at(*scope.graft, end);
  const bool earth = found.pin && found.pin->pin_class == PinClass::power_earth;
  const double volts = system_of(scope.graft->vehicle.supply) == SystemVolts::nominal_24 ? 24.0 : 12.0;
  return {end, earth ? WireEnd{scope.battery, "+"} : WireEnd{"body", ""},
          "a " + print(Watts{watts}) + " lamp on a lead with a " +
              print(Amperes{default_figure("jumper_fuse_a")}) + " fuse from " + end_text(scope, end) +
              ", mating face, to " + (earth ? "the battery's positive post" : "the body"),
          Ohms{volts * volts / watts}, prove_figure("lamp_spread_share")};
}

struct JumperCurrents {
  bool solved = false;
  std::vector<double> through;       // each jumper
  std::set<std::string> overloaded;  // fuses
};

JumperCurrents currents_through(const ProveScope& scope, const Condition& condition,
                                const std::vector<Jumper>& jumpers) {
  LoomNetwork network = network_without_jumpers(scope, condition, Corner::strongest);
  const std::vector<std::size_t> branches = add_jumpers(network, scope, jumpers, Corner::strongest);
  JumperCurrents currents;
  const auto solution = solve(network);
  if (!solution) return currents;
  currents.solved = true;
  for (std::size_t k = 0; k < network.branches.size(); ++k) {
    const NetworkBranch& branch = network.branches[k];
    if (branch.kind == BranchKind::fuse && is_overloaded(network, *solution, k))
      currents.overloaded.insert(branch.subject);
  }
  for (const std::size_t branch : branches)
    currents.through.push_back(std::abs(branch_current(network, *solution, branch).si));
  return currents;
}

// No more through any jumper than its lead carries, and no fuse overloaded that was not before.
bool is_safe(const JumperCurrents& currents, const JumperCurrents& before) {
  return currents.solved &&
         std::ranges::all_of(currents.through,
                             [](double amperes) { return amperes <= default_figure("jumper_fuse_a"); }) &&
         std::ranges::includes(before.overloaded, currents.overloaded);
}

bool operates(const JumperCurrents& currents) {
  return !currents.through.empty() && currents.through.front() >= default_figure("jumper_works_a");
}

}  // namespace

std::vector<ForcedLoad> forced_loads(const ProveScope& scope, const Condition& open_plugs) {
  std::vector<ForcedLoad> loads;
  const JumperCurrents before = currents_through(scope, open_plugs, {});
  for (std::size_t number = 0; number < std::min(most_tried(), scope.outputs.size()); ++number) {
    const CavityRef& output = scope.outputs[number];
    if (is_high_side(scope, output) && scope.battery.empty()) continue;
    std::vector<Jumper> jumpers{jumper_at(scope, output)};
    const JumperCurrents alone = currents_through(scope, open_plugs, jumpers);
    if (!is_safe(alone, before)) continue;
    if (operates(alone)) {
      loads.push_back({output, jumpers});
      continue;
    }
    for (std::size_t k = 0; k < std::min(most_tried(), scope.relay_outputs.size()); ++k) {
      if (scope.relay_outputs[k] == output) continue;
      std::vector<Jumper> both{jumpers[0], jumper_at(scope, scope.relay_outputs[k])};
      const JumperCurrents helped = currents_through(scope, open_plugs, both);
      if (!is_safe(helped, before) || !operates(helped)) continue;
      loads.push_back({output, both});
      break;
    }
  }
  return loads;
}

std::vector<ForcedLoad> lamp_loads(const ProveScope& scope, const Condition& open_plugs) {
  std::vector<ForcedLoad> loads;
  const JumperCurrents before = currents_through(scope, open_plugs, {});
  for (std::size_t number = 0; number < std::min(most_tried(), scope.rails.size()); ++number) {
    for (const char* size : {"large_lamp_w", "small_lamp_w"}) {
      const std::vector<Jumper> lamp{lamp_at(scope, scope.rails[number], prove_figure(size))};
      const JumperCurrents currents = currents_through(scope, open_plugs, lamp);
      if (!is_safe(currents, before) || !operates(currents)) continue;
      loads.push_back({scope.rails[number], lamp});
      break;
    }
  }
  return loads;
}

std::vector<CavityRef> holding_outputs(const ProveScope& scope) {
  std::vector<CavityRef> holding;
  const auto rails = [&](const std::vector<CavityRef>& driven) {
    Condition condition;
    condition.driven = driven;
    NetworkOptions options;
    options.crimps = true;
    LoomNetwork network = network_of(*scope.frame, condition, options);
    double volts = 0.0;
    const auto solution = solve(network);
    if (!solution) return volts;
    for (const auto& [end, node] : network.inner_nodes) {
      if (end.cavity == "switched feed" || end.cavity == "battery feed")
        volts += solution->point.nodes[node.value].si;
    }
    return volts;
  };
  double before = rails({});
  for (std::size_t k = 0; k < std::min(most_tried(), scope.relay_outputs.size()); ++k) {
    std::vector<CavityRef> more = holding;
    more.push_back(scope.relay_outputs[k]);
    const double after = rails(more);
    if (after < before + prove_figure("feed_gained_v")) continue;
    holding = std::move(more);
    before = after;
  }
  return holding;
}

LoomNetwork condition_network(const ProveScope& scope, const ProveCondition& condition, Corner corner) {
  LoomNetwork network = network_without_jumpers(scope, condition.setup, corner);
  add_jumpers(network, scope, condition.jumpers, corner);
  return network;
}

}  // namespace loomgraft::prove
