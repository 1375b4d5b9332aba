// A small electrical circuit: nodes, conductances, sources and piecewise-linear diodes, and its operating
// point.
//
// Model   direct current; node 0 is the reference. A diode is a leakage up to its forward voltage and a small
//         resistance above it. A limited source behaves as a current source once its limit is reached, in
//         either direction, but for limit_slope, which keeps every operating point unique.
// Gives   the voltage of every node and the current of every element, in the order the elements were added
// Fails   Problem "bad-element" for a value that no element can have, "floating-node" where a node has no
//         path to the reference (a diode without leakage is no path), "no-operating-point" where the values
//         span more than doubles carry (limits hold both ways, so a point exists). Never hangs: a step lowers
//         the energy.
// Method  nodal analysis; Newton steps with exact line search on the convex co-content: circuit/circuit.cpp
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <tl/expected.hpp>
#include <vector>

#include "base/problem.h"
#include "units/quantity.h"

namespace loomgraft {

struct NodeId {
  std::uint32_t value = 0;
  auto operator<=>(const NodeId&) const = default;
};
inline constexpr NodeId earth_node{0};

struct Resistor {
  NodeId a;
  NodeId b;
  Ohms resistance;  // > 0; infinity is an open
};

// Thevenin source from `minus` to `plus`; `resistance` > 0; a finite limit makes it a current source beyond.
struct LimitedSource {
  NodeId plus;
  NodeId minus;
  Volts voltage;
  Ohms resistance;
  Amperes limit;  // > 0, infinity for none
};

struct Diode {
  NodeId anode;
  NodeId cathode;
  Volts forward;        // >= 0
  Ohms on_resistance;   // > 0
  Ohms off_resistance;  // >= on_resistance; infinity for no leakage
};

// Conductance in siemens that a source keeps beyond its limit: a picoampere a volt.
inline constexpr double limit_slope = 1e-12;

struct Circuit {
  std::uint32_t node_count = 1;
  std::vector<Resistor> resistors;
  std::vector<LimitedSource> sources;
  std::vector<Diode> diodes;

  NodeId add_node() { return NodeId{node_count++}; }
};

struct OperatingPoint {
  std::vector<Volts> nodes;
  std::vector<Amperes> resistors;  // from a to b
  std::vector<Amperes> sources;    // out of plus
  std::vector<Amperes> diodes;     // from anode to cathode
};

tl::expected<OperatingPoint, Problem> solve(const Circuit& circuit);

// The same solutions with a reused work space, for circuits solved one after another, above all those that
// join the same nodes with other values. Earlier solves change no digit of a result.
struct SolverWork;
class Solver {
 public:
  Solver();
  ~Solver();
  Solver(Solver&&) noexcept;
  Solver& operator=(Solver&&) noexcept;
  // `start`: node volts near the solution save steps; the result is the same from any start.
  tl::expected<OperatingPoint, Problem> solve(const Circuit& circuit, std::span<const Volts> start = {});

 private:
  std::unique_ptr<SolverWork> work_;
};

}  // namespace loomgraft
