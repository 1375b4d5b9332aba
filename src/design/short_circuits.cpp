// One circuit with a resistor at each place that is shorted, all open but one in turn, so that the matrix pattern stays the
// same. What a short adds to each branch is a current from the sources to the short with no loops, as the circuit is linear
// but for diodes and limits: so the ways up to the sources end.
#include "design/short_circuits.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/parallel.h"
#include "design/checks_internal.h"
#include "design/figures.h"
#include "design/sources.h"
#include "standards/network_figures.h"

namespace loomgraft::design {
namespace {

struct Place {
  NodeId from;
  NodeId to;  // the body, or a consumer's other terminal
  auto operator<=>(const Place&) const = default;
};

struct Bench {
  Circuit circuit;
  Solver solver;
  std::map<Place, std::size_t> resistor_at;
  NetworkSolution sound;
};

using Places = std::set<Place>;

Places ends_of(const LoadCase& load_case, const std::set<std::string>& wires) {
  Places places;
  for (const std::string& wire : wires) {
    const auto branch = branch_of(load_case, wire, BranchKind::wire);
    if (!branch) continue;
    for (const NodeId end : {load_case.network.branches[*branch].a, load_case.network.branches[*branch].b}) {
      if (end != earth_node) places.insert({end, earth_node});
    }
  }
  return places;
}

Places consumers_of(const SizingRun& run, const LoadCase& load_case) {
  Places places;
  for (const AlteredCircuit& circuit : run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*run.graft, id);
      const auto ends = device && is_consumer(*device) ? consumer_ends(load_case, *device) : std::nullopt;
      if (ends && ends->plus != ends->minus) places.insert({ends->plus, ends->minus});
    }
  }
  return places;
}

std::optional<Bench> bench_of(const SizingRun& run, const LoadCase& load_case, const Places& places) {
  Bench bench;
  bench.circuit = load_case.network.circuit;
  for (const FeedingSource& source : feeding_sources(run, load_case))
    bench.circuit.sources.push_back(element_of(source));
  for (const Place& place : places) {
    bench.resistor_at.emplace(place, bench.circuit.resistors.size());
    bench.circuit.resistors.push_back({place.from, place.to, {std::numeric_limits<double>::infinity()}});
  }
  auto sound = bench.solver.solve(bench.circuit, load_case.solution.point.nodes);
  if (!sound) return std::nullopt;
  bench.sound = {std::move(*sound), {}, {}};
  return bench;
}

// The circuit with one of its places shorted, and what that adds to its branches.
struct Shorted {
  const LoadCase& load_case;
  const NetworkSolution& sound;
  NetworkSolution solution;
  Place place;
  double through = 0.0;  // the short itself, amperes

  double current(std::size_t branch) const { return branch_current(load_case.network, solution, branch).si; }
  double added(std::size_t branch) const {
    return current(branch) - branch_current(load_case.network, sound, branch).si;
  }
};

std::optional<Shorted> with_short(Bench& bench, const LoadCase& load_case, const Place& place) {
  const std::size_t resistor = bench.resistor_at.at(place);
  bench.circuit.resistors[resistor].resistance = {default_figure("dead_short_ohm")};
  auto point = bench.solver.solve(bench.circuit, bench.sound.point.nodes);
  bench.circuit.resistors[resistor].resistance = {std::numeric_limits<double>::infinity()};
  if (!point) return std::nullopt;
  const double through = std::abs(point->resistors[resistor].si);
  return Shorted{load_case, bench.sound, NetworkSolution{std::move(*point), {}, {}}, place, through};
}

// A way by which current reaches the wire.
struct Feed {
  const Device* fuse = nullptr;
  double amperes = 0.0;
  bool from_pin = false;
};

// Walks from a node up all ways by which the short's current comes.
class Upstream {
 public:
  Upstream(const SizingRun& run, const Shorted& shorted, double least)
      : run_(run), shorted_(shorted), least_(least) {}

  void walk(NodeId node, double amperes, bool from_pin) {
    if (node == earth_node || !seen_.insert(node.value).second) return;
    const bool behind = node == shorted_.place.to;
    if (behind) return walk(shorted_.place.from, amperes, from_pin);
    double found = 0.0;
    for (const std::size_t index : shorted_.load_case.index->at_node[node.value]) {
      const NetworkBranch& branch = shorted_.load_case.network.branches[index];
      const double inflow = (branch.b == node ? 1.0 : -1.0) * shorted_.added(index);
      if (branch.kind == BranchKind::leakage || inflow < least_) continue;
      found += inflow;
      follow(branch, branch.b == node ? branch.a : branch.b, inflow, from_pin);
    }
    // A source that is no branch of the network: an alternator.
    if (amperes - found > std::max(least_, 0.05 * amperes))
      feeds.push_back({nullptr, amperes - found, from_pin});
  }

  std::vector<Feed> feeds;

 private:
  void follow(const NetworkBranch& branch, NodeId next, double inflow, bool from_pin) {
    if (branch.kind == BranchKind::fuse) {
      feeds.push_back({find_device(*run_.graft, branch.subject), inflow, from_pin});
      return;
    }
    if (branch.kind == BranchKind::supply) {
      feeds.push_back({nullptr, inflow, from_pin});
      return;
    }
    walk(next, inflow, from_pin || branch.kind == BranchKind::pin);
  }

  const SizingRun& run_;
  const Shorted& shorted_;
  double least_;
  std::set<std::uint32_t> seen_;
};

struct WireBranch {
  std::string id;
  std::size_t branch = 0;
};

void keep(std::vector<WireShort>& shorts, const WireShort& found) {
  const auto known =
      std::ranges::find_if(shorts, [&](const WireShort& item) { return item.fuse == found.fuse; });
  if (known == shorts.end()) {
    shorts.push_back(found);
    return;
  }
  known->from_pin = found.current > known->current ? found.from_pin : known->from_pin;
  known->current = std::max(known->current, found.current);
  known->share = std::min(known->share, found.share);
}

// What a short sends through one wire. Ways that carry less than a fiftieth of it do not count.
void note_wire(const SizingRun& run, const Shorted& shorted, const WireBranch& wire, ShortCircuits& all) {
  static const double judged = design_figure("judged_current_a");
  static const double share = design_figure("share_of_short");
  const NetworkBranch& branch = shorted.load_case.network.branches[wire.branch];
  const double added = shorted.added(wire.branch);
  const double current = std::abs(shorted.current(wire.branch));
  const double before = std::abs(branch_current(shorted.load_case.network, shorted.sound, wire.branch).si);
  if (current <= before || current < judged || std::abs(added) < judged ||
      std::abs(added) < share * shorted.through)
    return;
  Upstream upstream(run, shorted, share * std::abs(added));
  upstream.walk(added > 0 ? branch.a : branch.b, std::abs(added), false);
  for (const Feed& feed : upstream.feeds) {
    const double part = std::min(1.0, feed.amperes / std::abs(added));
    keep(all.of_wire[wire.id], {{current}, feed.fuse, part, feed.from_pin});
  }
}

void note_fuses(const Shorted& shorted, const std::vector<std::size_t>& fuses, ShortCircuits& all) {
  for (const std::size_t k : fuses) {
    Amperes& most = all.through_fuse[shorted.load_case.network.branches[k].subject];
    most = std::max(most, Amperes{std::abs(shorted.current(k))});
  }
}

std::vector<std::size_t> fuse_branches(const SizingRun& run, const LoadCase& load_case) {
  std::vector<std::size_t> fuses;
  for (std::size_t k = 0; k < load_case.network.branches.size(); ++k) {
    const NetworkBranch& branch = load_case.network.branches[k];
    if (branch.kind == BranchKind::fuse && find_device(*run.graft, branch.subject)) fuses.push_back(k);
  }
  return fuses;
}

std::vector<WireBranch> wire_branches(const LoadCase& load_case, const std::set<std::string>& wires) {
  std::vector<WireBranch> found;
  for (const std::string& wire : wires) {
    if (const auto branch = branch_of(load_case, wire, BranchKind::wire)) found.push_back({wire, *branch});
  }
  return found;
}

// Merges in the order of the places, so that the number of cores changes nothing.
void merge(const ShortCircuits& from, ShortCircuits& into) {
  for (const auto& [wire, shorts] : from.of_wire) {
    for (const WireShort& found : shorts) keep(into.of_wire[wire], found);
  }
  for (const auto& [fuse, current] : from.through_fuse)
    into.through_fuse[fuse] = std::max(into.through_fuse[fuse], current);
}

}  // namespace

ShortCircuits short_circuits(const SizingRun& run, const std::set<std::string>& wires) {
  ShortCircuits all;
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  if (!load_case.solved || wires.empty()) return all;
  const Places ends = ends_of(load_case, wires);
  Places places = consumers_of(run, load_case);
  places.insert(ends.begin(), ends.end());
  const std::vector<Place> list(places.begin(), places.end());
  std::vector<ShortCircuits> found(list.size());
  const std::vector<WireBranch> followed = wire_branches(load_case, wires);
  const std::vector<std::size_t> fuses = fuse_branches(run, load_case);
  // Each bench serves many places: making one costs more than most shorts.
  const std::size_t benches = std::min(list.size(), cores());
  parallel_for(benches, [&](std::size_t number) {
    auto bench = bench_of(run, load_case, places);
    for (std::size_t k = number; bench && k < list.size(); k += benches) {
      const auto shorted = with_short(*bench, load_case, list[k]);
      if (!shorted) continue;
      for (const WireBranch& wire : followed) note_wire(run, *shorted, wire, found[k]);
      note_fuses(*shorted, fuses, found[k]);
    }
  });
  for (const ShortCircuits& part : found) merge(part, all);
  return all;
}

}  // namespace loomgraft::design
