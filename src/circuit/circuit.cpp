// Every element is a monotone piecewise-linear law i(v), so the node voltages are the minimum of a convex
// function, the co-content (Millar 1951): the sum over elements of the integral of i dv. Its gradient is the
// imbalance of currents at the nodes. A Newton step solves the circuit with every element on its present
// piece; if the answer lies on the same pieces it is the operating point. Else the exact minimum along the
// step is taken, which lowers the co-content strictly, so no state can come back; on a convex
// piecewise-quadratic function this ends after finitely many steps (Sun 1997, Mathematical Programming 76).
#include "circuit/circuit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <span>
#include <string>

#include "circuit/law.h"
#include "circuit/nodal.h"

namespace loomgraft {

using namespace circuit;
namespace {

// Whether `volts` is on the piece, or so near to it that the neighbour's law gives the same current.
bool on_piece(const Law& law, int piece, double volts) {
  const auto slack = [](double knee) { return 1e-12 * std::max(1.0, std::abs(knee)); };
  if (piece > 0) {
    const double knee = law.knee[static_cast<std::size_t>(piece) - 1];
    if (volts < knee - slack(knee)) return false;
  }
  if (piece + 1 < law.pieces) {
    const double knee = law.knee[static_cast<std::size_t>(piece)];
    if (volts > knee + slack(knee)) return false;
  }
  return true;
}

Problem problem(const char* code, std::string message, const char* remedy) {
  return {Severity::error, code, {}, std::move(message), remedy};
}

Problem bad_element(const char* kind, std::size_t index) {
  return problem("bad-element",
                 std::string(kind) + " " + std::to_string(index) + " has a value that no element can have.",
                 "Give finite voltages, resistances above zero and nodes that exist.");
}

bool positive(double value) {
  return value > 0.0;  // false for not-a-number
}

}  // namespace

std::optional<Problem> bad_element_of(const Circuit& circuit) {
  const auto known = [&](NodeId node) { return node.value < circuit.node_count; };
  if (circuit.node_count == 0) return bad_element("node", 0);
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    const Resistor& item = circuit.resistors[k];
    if (!known(item.a) || !known(item.b) || !positive(item.resistance.si)) return bad_element("resistor", k);
  }
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) {
    const LimitedSource& item = circuit.sources[k];
    if (!known(item.plus) || !known(item.minus) || !std::isfinite(item.voltage.si) ||
        !positive(item.resistance.si) || std::isinf(item.resistance.si) || !positive(item.limit.si)) {
      return bad_element("source", k);
    }
  }
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) {
    const Diode& item = circuit.diodes[k];
    if (!known(item.anode) || !known(item.cathode) || !(item.forward.si >= 0.0) ||
        !std::isfinite(item.forward.si) || !positive(item.on_resistance.si) ||
        std::isinf(item.on_resistance.si) || !(item.off_resistance >= item.on_resistance)) {
      return bad_element("diode", k);
    }
  }
  return std::nullopt;
}

namespace {

std::uint32_t root_of(std::vector<std::uint32_t>& parent, std::uint32_t node) {
  while (parent[node] != node) node = parent[node] = parent[parent[node]];
  return node;
}

// An element whose law has more than one piece; `branch` is its place among the branches.
struct Bent {
  std::size_t branch = 0;
  Law law;
  int piece = 0;
};

}  // namespace

struct SolverWork {
  // By element: resistors, sources, diodes. A straight one never changes, a bent one follows its piece.
  std::vector<NodalBranch> branches;
  std::vector<Bent> bent;
  std::vector<double> held;    // by branch: current beside that of the conductance
  std::vector<double> volts;   // where we are
  std::vector<double> target;  // the circuit solved on the present pieces
  std::vector<double> injected;
  std::vector<std::uint8_t> leads;               // by node: joined to the reference without a node between
  std::vector<std::pair<double, double>> bends;  // along the step: place, change of slope
  NodalWork nodal;
};

namespace {

// As in a loom, whose insulation leaks everywhere: then no path need be followed.
bool all_lead_to_reference(std::span<const NodalBranch> branches, std::vector<std::uint8_t>& leads) {
  std::fill(leads.begin(), leads.end(), std::uint8_t{0});
  for (const NodalBranch& branch : branches) {
    const std::uint32_t node = branch.a == 0 ? branch.b : branch.a;
    const bool to_reference = branch.a == 0 || branch.b == 0;
    leads[node] |= static_cast<std::uint8_t>(to_reference && branch.conductance > 0.0);
  }
  return std::all_of(leads.begin() + 1, leads.end(), [](std::uint8_t one) { return one != 0; });
}

std::optional<Problem> find_floating(std::span<const NodalBranch> branches, std::uint32_t node_count) {
  std::vector<std::uint32_t> parent(node_count);
  std::iota(parent.begin(), parent.end(), 0U);
  for (const NodalBranch& branch : branches) {
    if (branch.conductance <= 0.0) continue;
    const std::uint32_t a = root_of(parent, branch.a);
    const std::uint32_t b = root_of(parent, branch.b);
    parent[std::max(a, b)] = std::min(a, b);
  }
  for (std::uint32_t node = 1; node < node_count; ++node) {
    if (root_of(parent, node) == 0) continue;
    return problem("floating-node", "Node " + std::to_string(node) + " has no path to the reference.",
                   "Add the leakage that the real circuit has.");
  }
  return std::nullopt;
}

void add_bent(SolverWork& state, NodeId a, NodeId b, const Law& law) {
  state.bent.push_back({state.branches.size(), law, 0});
  state.branches.push_back({a.value, b.value, law.slope[0], law.emf[0]});
}

void lay_out(SolverWork& state, const Circuit& circuit) {
  state.branches.reserve(circuit.resistors.size() + circuit.sources.size() + circuit.diodes.size());
  state.branches.resize(circuit.resistors.size());
  state.bent.clear();
  for (std::size_t k = 0; k < state.branches.size(); ++k) {
    const Resistor& item = circuit.resistors[k];
    state.branches[k] = {item.a.value, item.b.value, 1.0 / item.resistance.si, 0.0};
  }
  for (const LimitedSource& item : circuit.sources) {
    if (std::isinf(item.limit.si)) {
      state.branches.push_back(
          {item.plus.value, item.minus.value, 1.0 / item.resistance.si, item.voltage.si});
    } else {
      add_bent(state, item.plus, item.minus, law_of(item));
    }
  }
  for (const Diode& item : circuit.diodes) add_bent(state, item.anode, item.cathode, law_of(item));
  state.held.assign(state.branches.size(), 0.0);
  state.injected.resize(circuit.node_count);
  state.volts.assign(circuit.node_count, 0.0);
}

double across(const NodalBranch& branch, const std::vector<double>& volts) {
  return volts[branch.a] - volts[branch.b];
}

bool solve_on_pieces(SolverWork& state) {
  std::fill(state.injected.begin(), state.injected.end(), 0.0);
  for (Bent& bent : state.bent) {
    NodalBranch& branch = state.branches[bent.branch];
    bent.piece = piece_at(bent.law, across(branch, state.volts));
    const auto piece = static_cast<std::size_t>(bent.piece);
    branch.conductance = bent.law.slope[piece];
    branch.emf = bent.law.emf[piece];
    state.held[bent.branch] = bent.law.held[piece];
    state.injected[branch.a] -= bent.law.held[piece];
    state.injected[branch.b] += bent.law.held[piece];
  }
  return solve_nodal(state.branches, state.injected, state.nodal, state.target);
}

bool target_is_on_pieces(const SolverWork& state) {
  return std::all_of(state.bent.begin(), state.bent.end(), [&](const Bent& bent) {
    return on_piece(bent.law, bent.piece, across(state.branches[bent.branch], state.target));
  });
}

// Where along the step an element comes to another piece, and how much steeper the co-content's slope is
// there. Returns what the element's first piece adds to the slope of the slope, beyond the piece solved with.
double add_bends(SolverWork& state, const Bent& bent, double start, double step) {
  const Law& law = bent.law;
  const int ahead = step > 0.0 ? 1 : -1;
  int piece = bent.piece;
  if (step > 0.0 && piece + 1 < law.pieces && start == law.knee[static_cast<std::size_t>(piece)]) ++piece;
  const double first = law.slope[static_cast<std::size_t>(piece)];
  for (int next = piece; step > 0.0 ? next + 1 < law.pieces : next > 0;) {
    const auto from = static_cast<std::size_t>(next);
    next += ahead;
    const auto to = static_cast<std::size_t>(next);
    const double place = (law.knee[std::min(from, to)] - start) / step;
    state.bends.emplace_back(std::max(place, 0.0), (law.slope[to] - law.slope[from]) * step * step);
  }
  return (first - law.slope[static_cast<std::size_t>(bent.piece)]) * step * step;
}

// How far along volts -> target the co-content is least; its slope there is piecewise linear and rising. The
// target is the minimum of the pieces solved with, so the slope at the start is minus their curvature.
double best_step(SolverWork& state) {
  double bend = 0.0;
  for (const NodalBranch& branch : state.branches) {
    const double step = across(branch, state.target) - across(branch, state.volts);
    bend += branch.conductance * step * step;
  }
  double slope = -bend;
  state.bends.clear();
  for (const Bent& bent : state.bent) {
    const double start = across(state.branches[bent.branch], state.volts);
    const double step = across(state.branches[bent.branch], state.target) - start;
    if (step != 0.0) bend += add_bends(state, bent, start, step);
  }
  std::sort(state.bends.begin(), state.bends.end());
  double place = 0.0;
  for (const auto& [at, change] : state.bends) {
    const double there = slope + bend * (at - place);
    if (there >= 0.0) break;
    slope = there;
    place = at;
    bend += change;
  }
  return bend > 0.0 && slope < 0.0 ? place - slope / bend : place;
}

// Limits hold in both directions, so zero current is within every source's reach and a point always exists;
// only numbers that doubles cannot carry lead here.
Problem no_point() {
  return problem("no-operating-point", "The values of the circuit span more than the arithmetic carries.",
                 "Give resistances, voltages and limits that a real circuit has.");
}

std::optional<Problem> iterate(SolverWork& state) {
  // Each step lowers the co-content; the count only guards against rounding.
  const std::size_t most = 60 + 8 * state.bent.size();
  for (std::size_t step = 0; step < most; ++step) {
    if (!solve_on_pieces(state)) return no_point();
    if (target_is_on_pieces(state)) {
      state.volts.swap(state.target);
      return std::nullopt;
    }
    const double length = best_step(state);
    for (std::size_t node = 0; node < state.volts.size(); ++node) {
      state.volts[node] += length * (state.target[node] - state.volts[node]);
    }
  }
  return no_point();
}

OperatingPoint report(const Circuit& circuit, const SolverWork& state) {
  OperatingPoint point;
  point.nodes.reserve(state.volts.size());
  for (const double v : state.volts) point.nodes.push_back({v});
  std::size_t next = 0;
  const auto add = [&](std::vector<Amperes>& currents, std::size_t count, double sign) {
    currents.reserve(count);
    for (const std::size_t end = next + count; next < end; ++next) {
      const NodalBranch& branch = state.branches[next];
      const double through = branch.conductance * (across(branch, state.volts) - branch.emf);
      currents.push_back({sign * (through + state.held[next])});
    }
  };
  add(point.resistors, circuit.resistors.size(), 1.0);
  add(point.sources, circuit.sources.size(), -1.0);
  add(point.diodes, circuit.diodes.size(), 1.0);
  return point;
}

}  // namespace

Solver::Solver() : work_(std::make_unique<SolverWork>()) {}
Solver::~Solver() = default;
Solver::Solver(Solver&&) noexcept = default;
Solver& Solver::operator=(Solver&&) noexcept = default;

tl::expected<OperatingPoint, Problem> Solver::solve(const Circuit& circuit, std::span<const Volts> start) {
  if (auto bad = bad_element_of(circuit)) return tl::unexpected(std::move(*bad));
  SolverWork& state = *work_;
  lay_out(state, circuit);
  for (std::size_t k = 0; k < std::min(start.size(), state.volts.size()); ++k) state.volts[k] = start[k].si;
  state.leads.resize(circuit.node_count);
  if (!all_lead_to_reference(state.branches, state.leads)) {
    if (auto floating = find_floating(state.branches, circuit.node_count))
      return tl::unexpected(std::move(*floating));
  }
  if (auto stuck = iterate(state)) return tl::unexpected(std::move(*stuck));
  for (const double volts : state.volts) {
    if (!std::isfinite(volts)) return tl::unexpected(no_point());
  }
  return report(circuit, state);
}

tl::expected<OperatingPoint, Problem> solve(const Circuit& circuit) {
  return Solver().solve(circuit);
}

}  // namespace loomgraft
