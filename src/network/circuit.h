// A small electrical circuit: nodes, conductances, sources and piecewise-linear diodes, and its operating
// point.
//
// Model   direct current; node 0 is the reference. A diode is off (a leakage conductance) or on (a forward
// voltage behind
//         a resistance). A limited source behaves as a current source once its limit is reached.
// Gives   the voltage of every node and the current of every element, in the order the elements were added
// Fails   Problem "no-operating-point" where the states of diodes and limits do not settle, "floating-node"
// where a node
//         has no path to the reference and no leakage was given
// Method  nodal analysis with finite piecewise-linear iteration: docs/engine.md
#pragma once

#include <cstdint>
#include <tl/expected.hpp>
#include <vector>

#include "text/problem.h"
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
  Ohms resistance;  // > 0
};

// Thevenin source from `minus` to `plus`; `resistance` > 0; a finite limit makes it a current source beyond.
struct LimitedSource {
  NodeId plus;
  NodeId minus;
  Volts voltage;
  Ohms resistance;
  Amperes limit;  // infinity for none
};

struct Diode {
  NodeId anode;
  NodeId cathode;
  Volts forward;
  Ohms on_resistance;
  Ohms off_resistance;
};

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

}  // namespace loomgraft
