// Every element is a monotone piecewise-linear law i(v), so the node voltages are the minimum of a convex
// function, the co-content (Millar 1951): the sum over elements of the integral of i dv. Its gradient is the
// imbalance of currents at the nodes. A Newton step solves the circuit with every element on its present
// piece; if the answer lies on the same pieces it is the operating point. Else the exact minimum along the
// step is taken, which lowers the co-content strictly, so no set of pieces can recur; on a convex
// piecewise-quadratic function this ends after finitely many steps (Sun 1997, Mathematical Programming 76).
#include "circuit/circuit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <string>

#include "base/union_find.h"
#include "circuit/cocontent.h"
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

Problem problem(ProblemCode code, std::string message, const char* remedy) {
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

struct SolverWork {
  // By element: resistors, sources, diodes. The linear ones never change, the nonlinear ones follow their
  // piece.
  std::vector<NodalBranch> branches;
  std::vector<PiecewiseElement> nonlinear;
  std::vector<double> held;    // by branch: current beside that of the conductance
  std::vector<double> volts;   // the present point
  std::vector<double> target;  // the circuit solved on the present pieces
  std::vector<double> injected;
  std::vector<std::uint8_t> leads;               // by node: joined to the reference without a node between
  std::vector<std::pair<double, double>> knees;  // share of the step, change of curvature there
  NodalWork nodal;
};

namespace {

// True in a loom, whose insulation leaks everywhere; then no path need be followed.
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
  UnionFind sets(node_count);
  for (const NodalBranch& branch : branches) {
    if (branch.conductance > 0.0) sets.join(branch.a, branch.b);
  }
  for (std::uint32_t node = 1; node < node_count; ++node) {
    if (sets.root(node) == 0) continue;
    return problem("floating-node", "Node " + std::to_string(node) + " has no path to the reference.",
                   "Add the leakage that the real circuit has.");
  }
  return std::nullopt;
}

void add_nonlinear(SolverWork& work, NodeId a, NodeId b, const Law& law) {
  work.nonlinear.push_back({work.branches.size(), law, 0});
  work.branches.push_back({a.value, b.value, law.slope[0], law.emf[0]});
}

void lay_out(SolverWork& work, const Circuit& circuit) {
  work.branches.reserve(circuit.resistors.size() + circuit.sources.size() + circuit.diodes.size());
  work.branches.resize(circuit.resistors.size());
  work.nonlinear.clear();
  for (std::size_t k = 0; k < work.branches.size(); ++k) {
    const Resistor& item = circuit.resistors[k];
    work.branches[k] = {item.a.value, item.b.value, 1.0 / item.resistance.si, 0.0};
  }
  for (const LimitedSource& item : circuit.sources) {
    if (std::isinf(item.limit.si)) {
      work.branches.push_back({item.plus.value, item.minus.value, 1.0 / item.resistance.si, item.voltage.si});
    } else {
      add_nonlinear(work, item.plus, item.minus, law_of(item));
    }
  }
  for (const Diode& item : circuit.diodes) add_nonlinear(work, item.anode, item.cathode, law_of(item));
  work.held.assign(work.branches.size(), 0.0);
  work.injected.resize(circuit.node_count);
  work.volts.assign(circuit.node_count, 0.0);
}

double across(const NodalBranch& branch, const std::vector<double>& volts) {
  return volts[branch.a] - volts[branch.b];
}

bool solve_on_pieces(SolverWork& work) {
  std::fill(work.injected.begin(), work.injected.end(), 0.0);
  for (PiecewiseElement& element : work.nonlinear) {
    NodalBranch& branch = work.branches[element.branch];
    element.piece = piece_at(element.law, across(branch, work.volts));
    const auto piece = static_cast<std::size_t>(element.piece);
    branch.conductance = element.law.slope[piece];
    branch.emf = element.law.emf[piece];
    work.held[element.branch] = element.law.held[piece];
    work.injected[branch.a] -= element.law.held[piece];
    work.injected[branch.b] += element.law.held[piece];
  }
  return solve_nodal(work.branches, work.injected, work.nodal, work.target);
}

bool target_is_on_pieces(const SolverWork& work) {
  return std::all_of(work.nonlinear.begin(), work.nonlinear.end(), [&](const PiecewiseElement& element) {
    return on_piece(element.law, element.piece, across(work.branches[element.branch], work.target));
  });
}

// Limits hold in both directions, so zero current is within every source's reach and a point always exists;
// only numbers beyond the range of doubles lead here.
Problem no_point() {
  return problem("no-operating-point", "The values of the circuit span more than the arithmetic carries.",
                 "Give resistances, voltages and limits that a real circuit has.");
}

std::optional<Problem> iterate(SolverWork& work) {
  // Each step lowers the co-content; the count only guards against rounding.
  const std::size_t most = 60 + 8 * work.nonlinear.size();
  for (std::size_t step = 0; step < most; ++step) {
    if (!solve_on_pieces(work)) return no_point();
    if (target_is_on_pieces(work)) {
      work.volts.swap(work.target);
      return std::nullopt;
    }
    const double length =
        step_of_least_cocontent(work.branches, work.nonlinear, work.volts, work.target, work.knees);
    for (std::size_t node = 0; node < work.volts.size(); ++node) {
      work.volts[node] += length * (work.target[node] - work.volts[node]);
    }
  }
  return no_point();
}

OperatingPoint report(const Circuit& circuit, const SolverWork& work) {
  OperatingPoint point;
  point.nodes.reserve(work.volts.size());
  for (const double v : work.volts) point.nodes.push_back({v});
  std::size_t next = 0;
  const auto add = [&](std::vector<Amperes>& currents, std::size_t count, double sign) {
    currents.reserve(count);
    for (const std::size_t end = next + count; next < end; ++next) {
      const NodalBranch& branch = work.branches[next];
      const double through = branch.conductance * (across(branch, work.volts) - branch.emf);
      currents.push_back({sign * (through + work.held[next])});
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
  SolverWork& work = *work_;
  lay_out(work, circuit);
  for (std::size_t k = 0; k < std::min(start.size(), work.volts.size()); ++k) work.volts[k] = start[k].si;
  work.leads.resize(circuit.node_count);
  if (!all_lead_to_reference(work.branches, work.leads)) {
    if (auto floating = find_floating(work.branches, circuit.node_count))
      return tl::unexpected(std::move(*floating));
  }
  if (auto stuck = iterate(work)) return tl::unexpected(std::move(*stuck));
  for (const double volts : work.volts) {
    if (!std::isfinite(volts)) return tl::unexpected(no_point());
  }
  return report(circuit, work);
}

tl::expected<OperatingPoint, Problem> solve(const Circuit& circuit) {
  return Solver().solve(circuit);
}

}  // namespace loomgraft
