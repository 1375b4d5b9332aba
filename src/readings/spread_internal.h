// The figures of a network that have a spread, one at a time.
#pragma once

#include <span>
#include <vector>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings {

// One figure of one element between two networks of the same shape.
struct Spread {
  enum class Figure { resistance, volts, limit };
  ElementList list = ElementList::resistor;
  std::size_t index = 0;
  Figure figure = Figure::resistance;
  std::size_t branch = 0;  // of LinearisedNetwork::branches
  NodalBranch value[2];    // on the piece of the nominal solution, at either end
  double held[2] = {};
  SpanChange change;

  bool is_same_figure(const Spread& other) const {
    return list == other.list && index == other.index && figure == other.figure;
  }
};

// The networks at both ends of every figure; contacts as `nominal` has them.
struct Ends {
  const Circuit* low = nullptr;
  const Circuit* high = nullptr;
};

bool same_shape(const LoomNetwork& one, const LoomNetwork& other);

// Unweighed: without their effects (SpanChange), for which find_pairs() must have been called.
enum class SpreadsWanted { all, all_but_resistors, unweighed };
std::vector<Spread> spreads_of(const Circuit& nominal, const Ends& ends, const LinearisedNetwork& linearised,
                               const OperatingPoint& point, SpreadsWanted wanted = SpreadsWanted::all);

// The nominal circuit with each spread at the end named: 0 for low, 1 for high, other for neither.
Circuit at_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                std::span<const int> end);

// Whether every nonlinear element is on the piece in `circuit` that it is on in the nominal solution.
bool on_same_pieces(const Circuit& nominal, const OperatingPoint& point, const Circuit& circuit,
                    const OperatingPoint& there);

// The branches of `circuit` with every element on its piece of the nominal solution; no watched pairs, and no
// fronts until factor_on().
LinearisedNetwork on_nominal_pieces(const Circuit& nominal, const Circuit& circuit,
                                    const OperatingPoint& point);

// By figure: the end that lets the largest (`stiff`) or the smallest current through everywhere.
std::vector<int> stiff_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                            bool stiff);

}  // namespace loomgraft::readings
