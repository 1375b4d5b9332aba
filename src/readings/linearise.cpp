// A network on its pieces, and what must stay where it is for that to hold.
#include <algorithm>
#include <cmath>
#include <limits>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

double across(const OperatingPoint& point, NodeId a, NodeId b) {
  return point.nodes[a.value].si - point.nodes[b.value].si;
}

void watch(Settled& settled, NodeId a, NodeId b, std::pair<double, double> limits,
           std::size_t bent = no_bent) {
  settled.watched.push_back({a, b, limits.first, limits.second, bent, 0.0});
}

void add_bent(Settled& settled, const Law& law, NodeId a, NodeId b, double volts) {
  const int piece = piece_at(law, volts);
  const auto at = static_cast<std::size_t>(piece);
  settled.branches.push_back({a.value, b.value, law.slope[at], law.emf[at]});
  settled.held.push_back(law.held[at]);
  watch(settled, a, b, limits_of(law, piece), settled.bent.size());
  settled.bent.push_back({settled.branches.size() - 1, law, piece});
}

void add_elements(Settled& settled, const Circuit& circuit, const OperatingPoint& point) {
  const std::size_t count = circuit.resistors.size() + circuit.sources.size() + circuit.diodes.size();
  settled.branches.reserve(count);
  settled.held.reserve(count);
  for (const Resistor& item : circuit.resistors) {
    settled.branches.push_back({item.a.value, item.b.value, 1.0 / item.resistance.si, 0.0});
    settled.held.push_back(0.0);
  }
  for (const LimitedSource& item : circuit.sources) {
    if (std::isinf(item.limit.si)) {
      settled.branches.push_back(
          {item.plus.value, item.minus.value, 1.0 / item.resistance.si, item.voltage.si});
      settled.held.push_back(0.0);
    } else {
      add_bent(settled, law_of(item), item.plus, item.minus, across(point, item.plus, item.minus));
    }
  }
  for (const Diode& item : circuit.diodes)
    add_bent(settled, law_of(item), item.anode, item.cathode, across(point, item.anode, item.cathode));
}

// A relay pulls in at its pull-in; as long as any does, none releases.
void watch_relays(Settled& settled, const LoomNetwork& network, const RelayStep& step) {
  bool any_pulls = false;
  for (std::size_t k = 0; k < network.relays.size(); ++k) any_pulls |= !step.now[k] && step.next[k];
  for (std::size_t k = 0; k < network.relays.size(); ++k) {
    const NetworkRelay& relay = network.relays[k];
    if (step.now[k] && any_pulls) continue;
    const double limit = step.now[k] ? relay.release.si : relay.pull_in.si;
    if (!step.next[k]) {
      watch(settled, relay.coil_a, relay.coil_b, {-limit, limit});
    } else if (across(step.point, relay.coil_a, relay.coil_b) > 0.0) {
      watch(settled, relay.coil_a, relay.coil_b, {limit, unlimited});
    } else {
      watch(settled, relay.coil_a, relay.coil_b, {-unlimited, -limit});
    }
  }
}

// From its elements and what is watched.
void finish(Settled& settled, std::uint32_t node_count, std::shared_ptr<const FrontTree> tree) {
  for (std::size_t k = 0; k < settled.branches.size(); ++k) {
    const NodalBranch& branch = settled.branches[k];
    settled.dead = settled.dead && settled.held[k] == 0.0 && branch.emf * branch.conductance == 0.0;
  }
  if (!tree) tree = std::make_shared<const FrontTree>(front_tree_of(settled.branches, node_count));
  factor_on(settled, std::move(tree));
  for (Watched& one : settled.watched) {
    const Dipole dipole = settled.dipole(one.a, one.b);
    one.volts = settled.fronts.potential[dipole.plus] - settled.fronts.potential[dipole.minus];
    settled.rooms.add(one, one.volts);
  }
}

}  // namespace

void factor_on(Settled& settled, std::shared_ptr<const FrontTree> tree) {
  std::vector<double> injected(tree->place.size(), 0.0);
  for (std::size_t k = 0; k < settled.branches.size(); ++k) {
    injected[settled.branches[k].a] -= settled.held[k];
    injected[settled.branches[k].b] += settled.held[k];
  }
  settled.tree = std::move(tree);
  settled.fronts = factor(*settled.tree, settled.branches, injected);
}

Settled settle(const LoomNetwork& network, const RelayStep& step, std::shared_ptr<const FrontTree> tree) {
  Settled settled;
  add_elements(settled, network.circuit, step.point);
  watch_relays(settled, network, step);
  settled.rests = step.now == step.next;
  finish(settled, network.circuit.node_count, std::move(tree));
  return settled;
}

bool is_straight(const LoomNetwork& network) {
  const auto& sources = network.circuit.sources;
  return network.relays.empty() && network.circuit.diodes.empty() &&
         std::all_of(sources.begin(), sources.end(),
                     [](const LimitedSource& item) { return std::isinf(item.limit.si); });
}

std::optional<Settled> settle_straight(const Circuit& circuit, std::shared_ptr<const FrontTree> tree) {
  if (bad_element_of(circuit)) return std::nullopt;
  Settled settled;
  add_elements(settled, circuit, {});
  finish(settled, circuit.node_count, std::move(tree));
  const bool rests = std::all_of(settled.fronts.potential.begin(), settled.fronts.potential.end(),
                                 [](double volts) { return std::isfinite(volts); });
  return rests ? std::optional(std::move(settled)) : std::nullopt;
}

void find_pairs(Settled& settled) {
  settled.pair_ohms = pair_resistances(*settled.tree, settled.fronts);
}

double ohms_between(const Settled& settled, Dipole dipole, ChangedFronts& work, Carried& carried) {
  const FrontTree& tree = *settled.tree;
  const auto [early, late] = std::minmax(dipole.plus, dipole.minus);
  if (!settled.pair_ohms.empty() && early < tree.count) {
    const auto begin = tree.to.begin() + tree.row[early];
    const auto end = tree.to.begin() + tree.row[early + 1];
    const auto found = late == tree.count ? end - 1 : std::find(begin, end, late);
    if (found != end) return settled.pair_ohms[static_cast<std::size_t>(found - tree.to.begin())];
  }
  work.carry(dipole, carried);
  return work.resistance(carried);
}

std::size_t place_in_settled(const LoomNetwork& network, std::size_t branch) {
  const NetworkBranch& item = network.branches[branch];
  const std::size_t sources = network.circuit.resistors.size();
  switch (item.list) {
    case ElementList::resistor:
      return item.index;
    case ElementList::source:
      return sources + item.index;
    case ElementList::diode:
      return sources + network.circuit.sources.size() + item.index;
  }
  return item.index;
}

namespace {

// Whether no watched pair comes to a limit by the current of the meter. Nowhere does an ampere through the
// probes raise more volts than between them, so few pairs are looked at closely.
bool stays_with_meter(ChangedFronts& work, const Settled& settled, const Rooms& rooms, const Carried& probes,
                      double amperes, double ohms) {
  const double most = std::abs(amperes) * ohms;
  if (most * rooms.most <= 1.0) return true;
  Carried watched;
  for (std::size_t k = 0; k < settled.watched.size(); ++k) {
    if (most * rooms.per_room[k] <= 1.0) continue;
    work.carry(settled.dipole(settled.watched[k].a, settled.watched[k].b), watched);
    if (!(std::abs(amperes * work.transfer(probes, watched)) * rooms.per_room[k] <= 1.0)) return false;
  }
  return true;
}

}  // namespace

void Rooms::add(const Watched& one, double volts) {
  per_room.push_back(1.0 / std::max(std::min(volts - one.low, one.high - volts), 1e-12));
  most = std::max(most, per_room.back());
}

std::pair<double, double> limits_of(const Law& law, int piece) {
  const auto at = static_cast<std::size_t>(piece);
  return {piece > 0 ? law.knee[at - 1] : -unlimited, piece + 1 < law.pieces ? law.knee[at] : unlimited};
}

std::optional<double> settled_reading(ChangedFronts& work, const Settled& settled, const Rooms& rooms,
                                      const MeterFigures& meter, MeterKind kind, Dipole probes) {
  if (kind == MeterKind::ohms && !settled.dead) return std::nullopt;
  Carried carried;
  work.carry(probes, carried);
  const double ohms = work.resistance(carried);
  double reading = ohms;
  if (kind == MeterKind::volts) reading = work.volts(probes) / (1.0 + meter.conductance * ohms);
  if (!std::isfinite(reading)) return std::nullopt;
  if (stays_with_meter(work, settled, rooms, carried, meter.current(kind, reading), ohms)) return reading;
  return std::nullopt;
}

LoomNetwork bare(const LoomNetwork& network) {
  LoomNetwork result;
  result.circuit = network.circuit;
  result.relays = network.relays;
  result.branches.reserve(network.branches.size());
  for (const NetworkBranch& item : network.branches)
    result.branches.push_back({item.kind, {}, {}, item.a, item.b, item.list, item.index, {}});
  return result;
}

}  // namespace loomgraft::readings
