// What comes of a fault when power meets it: solved with everything on, with the fuses that blow blown.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "network/cavity_pins.h"
#include "network/fault_scope_internal.h"
#include "network/faults.h"
#include "standards/pin_states.h"
#include "standards/wire_sizes.h"

namespace loomgraft {
namespace {

// A fuse opens for certain in some minutes above this multiple of its rating (ISO 8820-3 gates, from memory).
constexpr double blows_at = 1.35;
// Amperes per square millimetre at which a wire in a bundle is past any class (common practice, no source).
constexpr double burns_at = 20.0;
// What an input may shift before it reads something else (common practice, no source).
constexpr double reads_false_v = 0.5;
constexpr int most_blown = 4;  // fuses one after the other

Condition everything_on(const Graft& graft) {
  Condition condition;
  condition.name = "everything on";
  for (const Device& device : graft.devices) {
    const DeviceKind* kind = kind_of(device);
    if (kind && kind->build == DeviceBuild::contacts) condition.worked.push_back(device.id);
  }
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (pin_model(pin.pin_class, PinSide::module, SystemVolts::nominal_12).ratings.kind == PinKind::output)
        condition.driven.push_back(pin.at);
    }
  }
  return condition;
}

struct PinWatch {
  NodeId node;
  Volts healthy;
  std::optional<Volts> highest;
};

struct Bench {
  LoomNetwork network;
  NetworkSolution healthy;
  std::map<std::size_t, Amperes> wire_limits;  // by branch
  std::vector<PinWatch> inputs;
  Solver solver;
};

void watch_inputs(const Graft& graft, Bench& bench) {
  const SystemVolts system = system_of(graft.vehicle.supply);
  for (const auto& [end, node] : bench.network.inner_places) {
    const PinAt found = pin_at(graft, end);
    if (!found.pin) continue;
    const PinRatings& ratings = pin_model(found.pin->pin_class, PinSide::module, system).ratings;
    if (ratings.kind != PinKind::input && ratings.kind != PinKind::sensor) continue;
    bench.inputs.push_back({node, bench.healthy.point.nodes[node.value], ratings.highest});
  }
}

void limit_wires(const Graft& graft, const FaultScope& scope, Bench& bench) {
  (void)graft;
  std::map<std::string, const Wire*> wires;
  for (const Wire& wire : scope.planned) wires[wire.id] = &wire;
  for (std::size_t k = 0; k < bench.network.branches.size(); ++k) {
    const NetworkBranch& branch = bench.network.branches[k];
    const auto wire = branch.kind == BranchKind::wire ? wires.find(branch.subject) : wires.end();
    if (wire == wires.end()) continue;
    const double area = wire->second->area ? in_square_millimetres(*wire->second->area) : 0.5;
    const double loaded = std::abs(branch_current(bench.network, bench.healthy, k).si);
    bench.wire_limits[k] = {std::max(burns_at * area, 2.0 * loaded)};
  }
}

// Opens the fuse that is furthest beyond its rating; false where none is.
bool blow_one(LoomNetwork& network, const NetworkSolution& solution) {
  std::optional<std::size_t> worst;
  double most = blows_at;
  for (std::size_t k = 0; k < network.branches.size(); ++k) {
    const NetworkBranch& branch = network.branches[k];
    if (branch.kind != BranchKind::fuse || !branch.rating || branch.list != ElementList::resistor) continue;
    const double share = std::abs(branch_current(network, solution, k).si) / branch.rating->si;
    if (share <= most) continue;
    most = share;
    worst = k;
  }
  if (!worst) return false;
  network.circuit.resistors[network.branches[*worst].index].resistance = {
      std::numeric_limits<double>::infinity()};
  return true;
}

Harm harm_in(const Bench& bench, const LoomNetwork& network, const NetworkSolution& solution) {
  for (const auto& [branch, limit] : bench.wire_limits) {
    if (std::abs(branch_current(network, solution, branch).si) > limit.si) return Harm::fire;
  }
  for (std::size_t k = 0; k < network.branches.size(); ++k) {
    const bool pin = network.branches[k].kind == BranchKind::contact;
    if (pin && is_overloaded(network, solution, k) && k < bench.network.branches.size() &&
        !is_overloaded(bench.network, bench.healthy, k))
      return Harm::damage;
  }
  Harm harm = Harm::none;
  for (const PinWatch& input : bench.inputs) {
    const double volts = solution.point.nodes[input.node.value].si;
    if (input.highest && volts > input.highest->si && input.healthy <= *input.highest) return Harm::damage;
    if (std::abs(volts - input.healthy.si) > reads_false_v) harm = Harm::false_signal;
  }
  return harm;
}

Harm harm_of(Bench& bench, const NetworkChange& change) {
  LoomNetwork network = changed(bench.network, change);
  Harm worst = Harm::none;
  for (int blown = 0; blown <= most_blown; ++blown) {
    const auto solution = solve(network, bench.solver);
    // No operating point: nothing that could be called safe.
    if (!solution) return Harm::damage;
    LoomNetwork before = network;
    if (blow_one(network, *solution)) {
      // Outputs are gone before a fuse is: their limit counts while it still holds.
      const Harm meanwhile = harm_in(bench, before, *solution);
      if (meanwhile == Harm::damage) worst = Harm::damage;
      continue;
    }
    return std::max(worst, harm_in(bench, network, *solution));
  }
  return worst;
}

}  // namespace

void judge_harm(const Graft& graft, std::vector<Fault>& faults) {
  const FaultScope scope = fault_scope(graft, true);
  Bench bench;
  NetworkOptions options;
  options.corner = Corner::strongest;
  options.crimps = true;
  bench.network = network_of(graft, everything_on(graft), options);
  auto healthy = solve(bench.network, bench.solver);
  if (!healthy) return;
  bench.healthy = std::move(*healthy);
  limit_wires(graft, scope, bench);
  watch_inputs(graft, bench);
  const std::vector<NetworkChange> changes = changes_of(faults, bench.network);
  for (std::size_t k = 0; k < faults.size(); ++k) {
    if (!changes[k].empty()) faults[k].harm = harm_of(bench, changes[k]);
  }
}

}  // namespace loomgraft
