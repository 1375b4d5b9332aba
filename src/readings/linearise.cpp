// A network with every nonlinear element on one piece, and the limits within which that is valid.
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

void watch(LinearisedNetwork& linearised, NodeId a, NodeId b, std::pair<double, double> limits,
           std::size_t nonlinear = no_element) {
  linearised.watched.push_back({a, b, limits.first, limits.second, nonlinear, 0.0});
}

void add_nonlinear(LinearisedNetwork& linearised, const Law& law, NodeId a, NodeId b, double volts) {
  const int piece = piece_at(law, volts);
  const auto at = static_cast<std::size_t>(piece);
  linearised.branches.push_back({a.value, b.value, law.slope[at], law.emf[at]});
  linearised.held.push_back(law.held[at]);
  watch(linearised, a, b, limits_of(law, piece), linearised.nonlinear.size());
  linearised.nonlinear.push_back({linearised.branches.size() - 1, law, piece});
}

void add_elements(LinearisedNetwork& linearised, const Circuit& circuit, const OperatingPoint& point) {
  const std::size_t count = circuit.resistors.size() + circuit.sources.size() + circuit.diodes.size();
  linearised.branches.reserve(count);
  linearised.held.reserve(count);
  for (const Resistor& item : circuit.resistors) {
    linearised.branches.push_back({item.a.value, item.b.value, 1.0 / item.resistance.si, 0.0});
    linearised.held.push_back(0.0);
  }
  for (const LimitedSource& item : circuit.sources) {
    if (std::isinf(item.limit.si)) {
      linearised.branches.push_back(
          {item.plus.value, item.minus.value, 1.0 / item.resistance.si, item.voltage.si});
      linearised.held.push_back(0.0);
    } else {
      add_nonlinear(linearised, law_of(item), item.plus, item.minus, across(point, item.plus, item.minus));
    }
  }
  for (const Diode& item : circuit.diodes)
    add_nonlinear(linearised, law_of(item), item.anode, item.cathode,
                  across(point, item.anode, item.cathode));
}

// A relay pulls in at its pull-in volts; as long as any pulls in, none releases.
void watch_relays(LinearisedNetwork& linearised, const LoomNetwork& network, const RelayStep& step) {
  bool any_pulls = false;
  for (std::size_t k = 0; k < network.relays.size(); ++k) any_pulls |= !step.now[k] && step.next[k];
  for (std::size_t k = 0; k < network.relays.size(); ++k) {
    const NetworkRelay& relay = network.relays[k];
    if (step.now[k] && any_pulls) continue;
    const double limit = step.now[k] ? relay.release.si : relay.pull_in.si;
    if (!step.next[k]) {
      watch(linearised, relay.coil_a, relay.coil_b, {-limit, limit});
    } else if (across(step.point, relay.coil_a, relay.coil_b) > 0.0) {
      watch(linearised, relay.coil_a, relay.coil_b, {limit, unlimited});
    } else {
      watch(linearised, relay.coil_a, relay.coil_b, {-unlimited, -limit});
    }
  }
}

// Factors it.
void find_potentials(LinearisedNetwork& linearised, std::uint32_t node_count,
                     std::shared_ptr<const FrontTree> tree) {
  for (std::size_t k = 0; k < linearised.branches.size(); ++k) {
    const NodalBranch& branch = linearised.branches[k];
    linearised.dead = linearised.dead && linearised.held[k] == 0.0 && branch.emf * branch.conductance == 0.0;
  }
  if (!tree) tree = std::make_shared<const FrontTree>(front_tree_of(linearised.branches, node_count));
  factor_on(linearised, std::move(tree));
}

double volts_of(const LinearisedNetwork& linearised, const WatchedPair& one) {
  const Dipole dipole = linearised.dipole(one.a, one.b);
  return linearised.fronts.potential[dipole.plus] - linearised.fronts.potential[dipole.minus];
}

// The volts and headroom of its watched pairs.
void find_headroom(LinearisedNetwork& linearised) {
  for (WatchedPair& one : linearised.watched) {
    one.volts = volts_of(linearised, one);
    linearised.headroom.add(one, one.volts);
  }
}

void finish(LinearisedNetwork& linearised, std::uint32_t node_count, std::shared_ptr<const FrontTree> tree) {
  find_potentials(linearised, node_count, std::move(tree));
  find_headroom(linearised);
}

enum class Pieces { right, wrong, unknown };

// Before relays are watched: whether every element's volts are on its piece, and not so near to its end that
// rounding decides.
Pieces pieces_of(const LinearisedNetwork& linearised) {
  constexpr double near_end = 1e-9;  // volts
  Pieces found = Pieces::right;
  for (const WatchedPair& one : linearised.watched) {
    const double volts = volts_of(linearised, one);
    if (!std::isfinite(volts)) return Pieces::unknown;
    if (std::min(std::abs(volts - one.low), std::abs(volts - one.high)) < near_end) return Pieces::unknown;
    if (volts < one.low || volts > one.high) found = Pieces::wrong;
  }
  return found;
}

// By node; the reference is at zero.
std::vector<double> potentials_of(const LinearisedNetwork& linearised) {
  std::vector<double> volts;
  volts.reserve(linearised.tree->position.size());
  for (const Position place : linearised.tree->position) volts.push_back(linearised.fronts.potential[place]);
  return volts;
}

// Whole Newton steps first, then only as far as the co-content falls, as in circuit.cpp: whole ones may go round in a
// circle.
class NewtonSteps {
 public:
  void take(const LinearisedNetwork& linearised, OperatingPoint& point) {
    const std::vector<double> target = potentials_of(linearised);
    double length = 1.0;
    if (taken_++ >= whole_steps) {
      from_.clear();
      from_.reserve(point.nodes.size());
      for (const Volts node : point.nodes) from_.push_back(node.si);
      length = step_of_least_cocontent(linearised.branches, linearised.nonlinear, from_, target, knees_);
    }
    for (std::size_t node = 0; node < target.size(); ++node) {
      Volts& volts = point.nodes[node];
      volts = {length == 1.0 ? target[node] : volts.si + length * (target[node] - volts.si)};
    }
  }

 private:
  static constexpr int whole_steps = 2;
  int taken_ = 0;
  std::vector<double> from_;
  std::vector<std::pair<double, double>> knees_;
};

// The circuit with contacts as they are; `point` is where to begin, and becomes the solution.
std::optional<LinearisedNetwork> on_right_pieces(const Circuit& circuit, OperatingPoint& point,
                                                 std::shared_ptr<const FrontTree>& tree) {
  constexpr int most_turns = 16;
  NewtonSteps steps;
  for (int turn = 0; turn < most_turns; ++turn) {
    LinearisedNetwork linearised;
    add_elements(linearised, circuit, point);
    find_potentials(linearised, circuit.node_count, tree);
    tree = linearised.tree;
    const Pieces pieces = pieces_of(linearised);
    if (pieces == Pieces::unknown) return std::nullopt;
    if (pieces == Pieces::wrong) {
      steps.take(linearised, point);
      continue;
    }
    const std::vector<double> volts = potentials_of(linearised);
    for (std::size_t node = 0; node < volts.size(); ++node) point.nodes[node] = {volts[node]};
    return linearised;
  }
  return std::nullopt;
}

// No coil so near to its limit that rounding decides.
bool coils_are_clear(const LoomNetwork& network, const OperatingPoint& point) {
  constexpr double near_limit = 1e-9;  // volts
  return std::ranges::all_of(network.relays, [&](const NetworkRelay& relay) {
    const double volts = std::abs(across(point, relay.coil_a, relay.coil_b));
    return std::abs(volts - relay.pull_in.si) > near_limit && std::abs(volts - relay.release.si) > near_limit;
  });
}

}  // namespace

std::optional<Settled> settled(LoomNetwork& network, std::span<const RelayStep> near,
                               const std::shared_ptr<const FrontTree>& shared,
                               std::vector<RelayStep>* steps) {
  if (near.empty() || bad_element_of(network.circuit)) return std::nullopt;
  std::shared_ptr<const FrontTree> tree = shared;
  std::vector<RelayPositions> met;
  RelayStep step{RelayPositions(network.relays.size(), false), {}, near.front().point};
  step.point.nodes.resize(network.circuit.node_count);
  while (true) {
    set_contacts(network, step.now);
    const auto like = std::ranges::find(near, step.now, &RelayStep::now);
    if (like != near.end())
      std::ranges::copy(
          std::span(like->point.nodes).first(std::min(like->point.nodes.size(), step.point.nodes.size())),
          step.point.nodes.begin());
    auto linearised = on_right_pieces(network.circuit, step.point, tree);
    if (!linearised || !coils_are_clear(network, step.point)) return std::nullopt;
    met.push_back(step.now);
    step.next = next_positions(network, step.point, step.now);
    if (steps) steps->push_back(step);
    if (step.next == step.now) {
      watch_relays(*linearised, network, step);
      find_headroom(*linearised);
      return Settled{std::move(*linearised), std::move(step)};
    }
    if (std::ranges::count(met, step.next) > 0) return std::nullopt;
    step.now = step.next;
  }
}

void factor_on(LinearisedNetwork& linearised, std::shared_ptr<const FrontTree> tree) {
  std::vector<double> injected(tree->position.size(), 0.0);
  for (std::size_t k = 0; k < linearised.branches.size(); ++k) {
    injected[linearised.branches[k].a] -= linearised.held[k];
    injected[linearised.branches[k].b] += linearised.held[k];
  }
  linearised.tree = std::move(tree);
  linearised.fronts = factor(*linearised.tree, linearised.branches, injected);
}

LinearisedNetwork linearise(const LoomNetwork& network, const RelayStep& step,
                            std::shared_ptr<const FrontTree> tree) {
  LinearisedNetwork linearised;
  add_elements(linearised, network.circuit, step.point);
  watch_relays(linearised, network, step);
  linearised.rests = step.now == step.next;
  finish(linearised, network.circuit.node_count, std::move(tree));
  return linearised;
}

bool is_linear(const LoomNetwork& network) {
  const auto& sources = network.circuit.sources;
  return network.relays.empty() && network.circuit.diodes.empty() &&
         std::all_of(sources.begin(), sources.end(),
                     [](const LimitedSource& item) { return std::isinf(item.limit.si); });
}

std::optional<LinearisedNetwork> linearise_plain(const Circuit& circuit,
                                                 std::shared_ptr<const FrontTree> tree) {
  if (bad_element_of(circuit)) return std::nullopt;
  LinearisedNetwork linearised;
  add_elements(linearised, circuit, {});
  finish(linearised, circuit.node_count, std::move(tree));
  const bool rests = std::all_of(linearised.fronts.potential.begin(), linearised.fronts.potential.end(),
                                 [](double volts) { return std::isfinite(volts); });
  return rests ? std::optional(std::move(linearised)) : std::nullopt;
}

void find_pairs(LinearisedNetwork& linearised) {
  linearised.pair_ohms = pair_resistances(*linearised.tree, linearised.fronts);
}

double ohms_between(const LinearisedNetwork& linearised, Dipole dipole, ChangedFronts& work,
                    Carried& carried) {
  const FrontTree& tree = *linearised.tree;
  const auto [early, late] = std::minmax(dipole.plus, dipole.minus);
  if (!linearised.pair_ohms.empty() && early < tree.count) {
    const auto begin = tree.to.begin() + tree.row[early];
    const auto end = tree.to.begin() + tree.row[early + 1];
    const auto found = late == tree.count ? end - 1 : std::find(begin, end, late);
    if (found != end) return linearised.pair_ohms[static_cast<std::size_t>(found - tree.to.begin())];
  }
  work.carry(dipole, carried);
  return work.resistance(carried);
}

double amperes_in(const LinearisedNetwork& linearised, std::size_t at) {
  const NodalBranch& branch = linearised.branches[at];
  const Dipole dipole = linearised.dipole_of(at);
  const double volts = linearised.fronts.potential[dipole.plus] - linearised.fronts.potential[dipole.minus];
  return branch.conductance * (volts - branch.emf) + linearised.held[at];
}

std::size_t linearised_index(const LoomNetwork& network, std::size_t branch) {
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

// Whether the meter's current carries no watched pair past a limit. An ampere through the probes raises the
// most volts between the probes themselves, so few pairs must be computed.
bool stays_with_meter(ChangedFronts& work, const LinearisedNetwork& linearised, const Headroom& headroom,
                      const Carried& probes, double amperes, double ohms) {
  const double most = std::abs(amperes) * ohms;
  if (most * headroom.most <= 1.0) return true;
  Carried watched;
  for (std::size_t k = 0; k < linearised.watched.size(); ++k) {
    if (most * headroom.per_headroom[k] <= 1.0) continue;
    work.carry(linearised.dipole(linearised.watched[k].a, linearised.watched[k].b), watched);
    if (!(std::abs(amperes * work.transfer(probes, watched)) * headroom.per_headroom[k] <= 1.0)) return false;
  }
  return true;
}

}  // namespace

void Headroom::add(const WatchedPair& one, double volts) {
  per_headroom.push_back(1.0 / std::max(std::min(volts - one.low, one.high - volts), 1e-12));
  most = std::max(most, per_headroom.back());
}

std::pair<double, double> limits_of(const Law& law, int piece) {
  const auto at = static_cast<std::size_t>(piece);
  return {piece > 0 ? law.knee[at - 1] : -unlimited, piece + 1 < law.pieces ? law.knee[at] : unlimited};
}

std::optional<double> linear_reading(ChangedFronts& work, const LinearisedNetwork& linearised,
                                     const Headroom& headroom, const MeterFigures& meter, MeterKind kind,
                                     Dipole probes) {
  if (kind == MeterKind::ohms && !linearised.dead) return std::nullopt;
  Carried carried;
  work.carry(probes, carried);
  const double ohms = work.resistance(carried);
  double reading = ohms;
  if (kind == MeterKind::volts) reading = work.volts(probes) / (1.0 + meter.conductance * ohms);
  if (!std::isfinite(reading)) return std::nullopt;
  if (stays_with_meter(work, linearised, headroom, carried, meter.current(kind, reading), ohms))
    return reading;
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
