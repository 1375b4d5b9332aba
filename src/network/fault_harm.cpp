// What comes of a fault when power meets it: the currents of wires, fuses and pins and the volts of inputs
// under each change, round by round: a change that blows a fuse comes back with that fuse open.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "network/cavity_pins.h"
#include "network/fault_scope_internal.h"
#include "network/faults.h"
#include "standards/fuses.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"
#include "standards/wire_burns.h"

namespace loomgraft {
namespace {

// Fuses that one fault can blow one after the other; more would be a loom without any order.
constexpr int most_blown = 4;

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

Condition key_off() {
  Condition condition;
  condition.name = "key off";
  condition.key = KeyPosition::off;
  return condition;
}

struct CurrentWatch {
  std::size_t branch = 0;
  double limit = 0.0;  // amperes
};

struct InputWatch {
  NodeId node;
  double healthy = 0.0;
  double highest = 0.0;  // volts it withstands
};

struct Bench {
  LoomNetwork network;
  NetworkSolution healthy;
  std::vector<CurrentWatch> wires, fuses, pins;
  std::vector<InputWatch> inputs;
  double shift = 0.0;  // volts by which an input reads something else
};

void watch_inputs(const Graft& graft, SystemVolts system, Bench& bench) {
  bench.shift = network_figure("input_shift_v", system).middle();
  for (const auto& [end, node] : bench.network.inner_places) {
    const PinAt found = pin_at(graft, end);
    if (!found.pin) continue;
    const PinRatings& ratings = pin_model(found.pin->pin_class, PinSide::module, system).ratings;
    if (ratings.kind != PinKind::input && ratings.kind != PinKind::sensor) continue;
    const double healthy = bench.healthy.point.nodes[node.value].si;
    const double withstood = ratings.highest ? ratings.highest->si : std::numeric_limits<double>::infinity();
    bench.inputs.push_back({node, healthy, std::max(withstood, healthy)});
  }
}

// The lowest multiple of its rating at which a blade fuse is sure to open in the end.
double sure_to_blow() {
  for (const FuseGate& gate : fuse_family("")->gates) {
    if (gate.longest) return gate.multiple;
  }
  return std::numeric_limits<double>::infinity();
}

void watch_currents(const FaultScope& scope, SystemVolts system, Bench& bench) {
  const double blows_at = sure_to_blow();
  const double usual_mm2 = network_figure("wire_mm2", system).middle();
  std::map<std::string, const Wire*> wires;
  for (const Wire& wire : scope.planned) wires[wire.id] = &wire;
  for (std::size_t k = 0; k < bench.network.branches.size(); ++k) {
    const NetworkBranch& branch = bench.network.branches[k];
    const double loaded = std::abs(branch_current(bench.network, bench.healthy, k).si);
    const double rating = branch.rating ? branch.rating->si : 0.0;
    if (const auto wire = wires.find(branch.subject);
        branch.kind == BranchKind::wire && wire != wires.end()) {
      const SquareMetres area = wire->second->area.value_or(square_millimetres(usual_mm2));
      // A wire that is loaded beyond its size as planned is another matter than a fault.
      bench.wires.push_back({k, std::max(burning_current(area).si, 2.0 * loaded)});
    }
    if (branch.kind == BranchKind::fuse && rating > 0.0 && branch.list == ElementList::resistor)
      bench.fuses.push_back({k, blows_at * rating});
    if (branch.kind == BranchKind::contact && rating > loaded) bench.pins.push_back({k, rating});
  }
}

// What one round shows of one fault.
struct Finding {
  Harm harm = Harm::none;
  std::optional<std::size_t> blown;  // the fuse that is furthest beyond its rating
};

Finding find_harm(const Bench& bench, const LoomNetwork& network, const NetworkSolution& solution) {
  Finding finding;
  const auto share = [&](const CurrentWatch& watch) {
    return std::abs(branch_current(network, solution, watch.branch).si) / watch.limit;
  };
  double most = 1.0;
  for (const CurrentWatch& fuse : bench.fuses) {
    if (share(fuse) <= most) continue;
    most = share(fuse);
    finding.blown = fuse.branch;
  }
  const auto raise = [&](Harm harm) { finding.harm = std::max(finding.harm, harm); };
  for (const InputWatch& input : bench.inputs) {
    const double volts = solution.point.nodes[input.node.value].si;
    if (std::abs(volts - input.healthy) > bench.shift) raise(Harm::false_signal);
    if (volts > input.highest) raise(Harm::damage);
  }
  const auto beyond = [&](const CurrentWatch& watch) { return share(watch) > 1.0; };
  if (std::ranges::any_of(bench.pins, beyond)) raise(Harm::damage);
  // A wire outlasts the fuse that blows; what is left without one burns.
  if (!finding.blown && std::ranges::any_of(bench.wires, beyond)) raise(Harm::fire);
  return finding;
}

Harm harm_of(const Bench& bench, NetworkChange change, Solver& solver) {
  Harm worst = Harm::none;
  for (int blown = 0; blown <= most_blown; ++blown) {
    LoomNetwork network = changed(bench.network, change);
    const auto solution = solve(network, solver);
    // No operating point: nothing that could be called safe.
    if (!solution) return std::max(worst, Harm::damage);
    const Finding finding = find_harm(bench, network, *solution);
    // Inputs read false for a moment only; outputs are gone before a fuse is.
    if (!finding.blown || finding.harm == Harm::damage) worst = std::max(worst, finding.harm);
    if (!finding.blown) return worst;
    change.branches.push_back({*finding.blown, Ohms{std::numeric_limits<double>::infinity()}});
  }
  return worst;
}

std::optional<Bench> set_up(const Graft& graft, const FaultScope& scope, const Condition& condition) {
  Bench bench;
  NetworkOptions options;
  options.corner = Corner::strongest;
  options.crimps = true;
  bench.network = network_of(graft, condition, options);
  auto healthy = solve(bench.network);
  if (!healthy) return std::nullopt;
  bench.healthy = std::move(*healthy);
  const SystemVolts system = system_of(graft.vehicle.supply);
  watch_currents(scope, system, bench);
  watch_inputs(graft, system, bench);
  return bench;
}

}  // namespace

void judge_harm(const Graft& graft, std::vector<Fault>& faults) {
  const FaultScope scope = fault_scope(graft, true);
  Solver solver;
  for (const Condition& condition : {everything_on(graft), key_off()}) {
    const auto bench = set_up(graft, scope, condition);
    if (!bench) continue;
    const std::vector<NetworkChange> changes = changes_of(faults, bench->network);
    for (std::size_t k = 0; k < faults.size(); ++k) {
      // With the key off only what joins what should be apart brings power where none is.
      const bool matters = condition.key != KeyPosition::off || !changes[k].bridges.empty();
      if (matters && !changes[k].empty() && faults[k].harm != Harm::fire)
        faults[k].harm = std::max(faults[k].harm, harm_of(*bench, changes[k], solver));
    }
  }
}

}  // namespace loomgraft
