// Which loads a jumper may work, found by solving each: current flows, and no more than everything on the way
// stands.
#include <algorithm>
#include <cmath>

#include "network/cavity_pins.h"
#include "prove/states_internal.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"

namespace loomgraft {
namespace {

// The fuse in the jumper's own lead, and the least current by which a load shows that it is worked.
constexpr double lead_fuse = 10.0;
constexpr double works_from = 1e-3;
// Helpers tried, and loads forced at all: each is a state to bring about, and few are ever worth it.
constexpr std::size_t most_tried = 12;

bool is_high_side(const ProveScope& scope, const CavityRef& at) {
  const PinAt found = pin_at(*scope.graft, {at.connector, at.cavity});
  return found.pin && found.pin->pin_class == PinClass::high_side_driver;
}

Jumper jumper_at(const ProveScope& scope, const CavityRef& at) {
  const WireEnd end{at.connector, at.cavity};
  const bool high = is_high_side(scope, at);
  const WireEnd post = high ? WireEnd{scope.battery, "+"} : WireEnd{"body", ""};
  return {end, post,
          "a lead with a 10 A fuse from " + place_words(scope, end) + ", mating face, to " +
              (high ? "the battery's positive post" : "the body")};
}

// Current through each jumper, or nothing where something on the way carries more than it stands.
std::vector<double> currents_through(const ProveScope& scope, const Condition& condition,
                                     const std::vector<Jumper>& jumpers) {
  ProveState state;
  state.condition = condition;
  state.jumpers = jumpers;
  LoomNetwork network = state_network(scope, state, Corner::strongest);
  const auto solution = solve(network);
  if (!solution) return {};
  std::vector<double> currents;
  for (std::size_t k = 0; k < network.branches.size(); ++k) {
    const bool fuse = network.branches[k].kind == BranchKind::fuse;
    if (fuse && is_overloaded(network, *solution, k)) return {};
    if (network.branches[k].subject != "jumper") continue;
    currents.push_back(std::abs(branch_current(network, *solution, k).si));
    if (currents.back() > lead_fuse) return {};
  }
  return currents;
}

bool works(const std::vector<double>& currents) {
  return !currents.empty() && currents.front() >= works_from;
}

}  // namespace

std::vector<ForcedLoad> forced_loads(const ProveScope& scope, const Condition& open_plugs) {
  std::vector<ForcedLoad> loads;
  for (const CavityRef& output : scope.outputs) {
    if (loads.size() >= most_tried) break;
    if (is_high_side(scope, output) && scope.battery.empty()) continue;
    std::vector<Jumper> jumpers{jumper_at(scope, output)};
    const std::vector<double> alone = currents_through(scope, open_plugs, jumpers);
    if (alone.empty()) continue;
    if (works(alone)) {
      loads.push_back({output, jumpers});
      continue;
    }
    for (std::size_t k = 0; k < std::min(most_tried, scope.relay_outputs.size()); ++k) {
      if (scope.relay_outputs[k] == output) continue;
      std::vector<Jumper> both{jumpers[0], jumper_at(scope, scope.relay_outputs[k])};
      if (!works(currents_through(scope, open_plugs, both))) continue;
      loads.push_back({output, both});
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
    LoomNetwork network = network_of(*scope.graft, condition, options);
    double volts = 0.0;
    const auto solution = solve(network);
    if (!solution) return volts;
    for (const auto& [end, node] : network.inner_places) {
      if (end.cavity == "switched feed" || end.cavity == "battery feed")
        volts += solution->point.nodes[node.value].si;
    }
    return volts;
  };
  constexpr double feeds_by = 1.0;  // volts
  double before = rails({});
  for (std::size_t k = 0; k < std::min(most_tried, scope.relay_outputs.size()); ++k) {
    std::vector<CavityRef> more = holding;
    more.push_back(scope.relay_outputs[k]);
    const double after = rails(more);
    if (after < before + feeds_by) continue;
    holding = std::move(more);
    before = after;
  }
  return holding;
}

LoomNetwork state_network(const ProveScope& scope, const ProveState& state, Corner corner) {
  NetworkOptions options;
  options.crimps = true;
  options.corner = corner;
  LoomNetwork network = network_of(*scope.graft, state.condition, options);
  for (const Jumper& jumper : state.jumpers) {
    const auto from = face_node_at(network, jumper.from);
    const auto to = jumper.to.at == "body" ? std::optional(earth_node) : node_at(network, jumper.to);
    if (!from || !to) continue;
    const double ohms = network_figure("meter_shunt_ohm", system_of(scope.graft->vehicle.supply)).middle();
    network.circuit.resistors.push_back({*from, *to, {ohms}});
    network.branches.push_back({BranchKind::joint,
                                "jumper",
                                jumper.words,
                                *from,
                                *to,
                                ElementList::resistor,
                                network.circuit.resistors.size() - 1,
                                {}});
  }
  return network;
}

}  // namespace loomgraft
