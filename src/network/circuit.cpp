// Every element is a monotone piecewise-linear law i(v), so the node voltages are the minimum of a convex
// function, the co-content (Millar 1951): the sum over elements of the integral of i dv. Its gradient is the
// imbalance of currents at the nodes. A Newton step solves the circuit with every element on its present
// piece; if the answer lies on the same pieces it is the operating point. Else the exact minimum along the
// step is taken, which lowers the co-content strictly, so no state can come back; on a convex
// piecewise-quadratic function this ends after finitely many steps (Sun 1997, Mathematical Programming 76).
#include "network/circuit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <span>
#include <string>

#include "network/nodal.h"

namespace loomgraft {
namespace {

// i = slope[p] v + offset[p] on piece p, from knee[p - 1] to knee[p].
struct Law {
  std::uint32_t a = 0;
  std::uint32_t b = 0;
  int pieces = 1;
  std::array<double, 2> knee{};
  std::array<double, 3> slope{};
  std::array<double, 3> offset{};
};

Law law_of(const Resistor& resistor) {
  return {resistor.a.value, resistor.b.value, 1, {}, {1.0 / resistor.resistance.si}, {}};
}

// Current into `plus`, against the voltage from plus to minus.
Law law_of(const LimitedSource& source) {
  const double slope = 1.0 / source.resistance.si;
  Law law{source.plus.value, source.minus.value, 1, {}, {slope}, {-source.voltage.si * slope}};
  if (std::isinf(source.limit.si)) return law;
  const double reach = source.limit.si * source.resistance.si;
  law.pieces = 3;
  law.knee = {source.voltage.si - reach, source.voltage.si + reach};
  law.slope = {limit_slope, slope, limit_slope};
  law.offset = {-source.limit.si - limit_slope * law.knee[0], -source.voltage.si * slope,
                source.limit.si - limit_slope * law.knee[1]};
  return law;
}

Law law_of(const Diode& diode) {
  const double off = 1.0 / diode.off_resistance.si;
  const double on = 1.0 / diode.on_resistance.si;
  const double knee = diode.forward.si;
  return {diode.anode.value, diode.cathode.value, 2, {knee}, {off, on}, {0.0, (off - on) * knee}};
}

int piece_at(const Law& law, double volts) {
  int piece = 0;
  while (piece + 1 < law.pieces && volts > law.knee[static_cast<std::size_t>(piece)]) ++piece;
  return piece;
}

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

double current_of(const Law& law, double volts) {
  const auto piece = static_cast<std::size_t>(piece_at(law, volts));
  return law.slope[piece] * volts + law.offset[piece];
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

std::optional<Problem> check(const Circuit& circuit) {
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

std::uint32_t root_of(std::vector<std::uint32_t>& parent, std::uint32_t node) {
  while (parent[node] != node) node = parent[node] = parent[parent[node]];
  return node;
}

std::optional<Problem> find_floating(std::span<const Law> laws, std::uint32_t node_count) {
  std::vector<std::uint32_t> parent(node_count);
  std::iota(parent.begin(), parent.end(), 0U);
  for (const Law& law : laws) {
    if (law.slope[0] > 0.0) parent[root_of(parent, law.a)] = root_of(parent, law.b);
  }
  const std::uint32_t reference = root_of(parent, 0);
  for (std::uint32_t node = 1; node < node_count; ++node) {
    if (root_of(parent, node) == reference) continue;
    return problem("floating-node", "Node " + std::to_string(node) + " has no path to the reference.",
                   "Add the leakage that the real circuit has.");
  }
  return std::nullopt;
}

struct Iteration {
  std::span<const Law> laws;
  std::vector<int> pieces;
  std::vector<double> volts;   // where we are
  std::vector<double> target;  // the circuit solved on the present pieces
  std::vector<NodalBranch> branches;
  std::vector<double> injected;
  std::vector<std::pair<double, double>> bends;  // along the step: place, change of slope
  NodalWork work;
};

double across(const Law& law, const std::vector<double>& volts) {
  return volts[law.a] - volts[law.b];
}

bool solve_on_pieces(Iteration& state) {
  state.branches.clear();
  std::fill(state.injected.begin(), state.injected.end(), 0.0);
  for (std::size_t k = 0; k < state.laws.size(); ++k) {
    const Law& law = state.laws[k];
    const auto piece = static_cast<std::size_t>(state.pieces[k]);
    if (law.slope[piece] > 0.0) state.branches.push_back({law.a, law.b, law.slope[piece]});
    state.injected[law.a] -= law.offset[piece];
    state.injected[law.b] += law.offset[piece];
  }
  return solve_nodal(state.branches, state.injected, state.work, state.target);
}

bool target_is_on_pieces(const Iteration& state) {
  for (std::size_t k = 0; k < state.laws.size(); ++k) {
    if (!on_piece(state.laws[k], state.pieces[k], across(state.laws[k], state.target))) return false;
  }
  return true;
}

// How far along volts -> target the co-content is least; its slope there is piecewise linear and rising.
double best_step(Iteration& state) {
  double slope = 0.0;
  double bend = 0.0;
  state.bends.clear();
  for (const Law& law : state.laws) {
    const double start = across(law, state.volts);
    const double step = across(law, state.target) - start;
    if (step == 0.0) continue;
    slope += current_of(law, start) * step;
    int piece = piece_at(law, start);
    if (step > 0.0 && piece + 1 < law.pieces && start == law.knee[static_cast<std::size_t>(piece)]) ++piece;
    bend += law.slope[static_cast<std::size_t>(piece)] * step * step;
    for (int next = piece; step > 0.0 ? next + 1 < law.pieces : next > 0;) {
      const auto from = static_cast<std::size_t>(next);
      next += step > 0.0 ? 1 : -1;
      const auto to = static_cast<std::size_t>(next);
      const double place = (law.knee[std::min(from, to)] - start) / step;
      state.bends.emplace_back(std::max(place, 0.0), (law.slope[to] - law.slope[from]) * step * step);
    }
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

std::optional<Problem> iterate(Iteration& state) {
  // Each step lowers the co-content; the count only guards against rounding.
  const std::size_t most = 60 + 8 * state.laws.size();
  for (std::size_t step = 0; step < most; ++step) {
    for (std::size_t k = 0; k < state.laws.size(); ++k) {
      state.pieces[k] = piece_at(state.laws[k], across(state.laws[k], state.volts));
    }
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

OperatingPoint report(const Circuit& circuit, const Iteration& state) {
  OperatingPoint point;
  point.nodes.reserve(state.volts.size());
  for (const double v : state.volts) point.nodes.push_back({v});
  std::size_t next = 0;
  const auto current = [&](double sign) {
    const std::size_t k = next++;
    const Law& law = state.laws[k];
    const auto piece = static_cast<std::size_t>(state.pieces[k]);
    return Amperes{sign * (law.slope[piece] * across(law, state.volts) + law.offset[piece])};
  };
  point.resistors.reserve(circuit.resistors.size());
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) point.resistors.push_back(current(1.0));
  point.sources.reserve(circuit.sources.size());
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) point.sources.push_back(current(-1.0));
  point.diodes.reserve(circuit.diodes.size());
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) point.diodes.push_back(current(1.0));
  return point;
}

}  // namespace

tl::expected<OperatingPoint, Problem> solve(const Circuit& circuit) {
  if (auto bad = check(circuit)) return tl::unexpected(std::move(*bad));
  std::vector<Law> laws;
  laws.reserve(circuit.resistors.size() + circuit.sources.size() + circuit.diodes.size());
  for (const Resistor& item : circuit.resistors) laws.push_back(law_of(item));
  for (const LimitedSource& item : circuit.sources) laws.push_back(law_of(item));
  for (const Diode& item : circuit.diodes) laws.push_back(law_of(item));
  if (auto floating = find_floating(laws, circuit.node_count)) return tl::unexpected(std::move(*floating));

  Iteration state;
  state.laws = laws;
  state.pieces.resize(laws.size());
  state.volts.resize(circuit.node_count);
  state.injected.resize(circuit.node_count);
  if (auto stuck = iterate(state)) return tl::unexpected(std::move(*stuck));
  for (const double volts : state.volts) {
    if (!std::isfinite(volts)) return tl::unexpected(no_point());
  }
  return report(circuit, state);
}

}  // namespace loomgraft
