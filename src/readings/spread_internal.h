// What of a network spreads, one figure at a time.
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
  std::size_t branch = 0;  // of Settled::branches
  NodalBranch value[2];    // on the piece of the nominal solution, at either end
  double held[2] = {};
  SpanChange change;

  bool is_same_figure(const Spread& other) const {
    return list == other.list && index == other.index && figure == other.figure;
  }
};

// What the elements of `nominal` are allowed; contacts as `nominal` has them.
struct Ends {
  const Circuit* low = nullptr;
  const Circuit* high = nullptr;
};

bool same_shape(const LoomNetwork& one, const LoomNetwork& other);

// Unweighed: without what each does (SpanChange), for which find_pairs() must have been called.
enum class SpreadsWanted { all, all_but_resistors, unweighed };
std::vector<Spread> spreads_of(const Circuit& nominal, const Ends& ends, const Settled& settled,
                               const OperatingPoint& point, SpreadsWanted wanted = SpreadsWanted::all);

// The nominal circuit with each spread at the end named: 0 for low, 1 for high, other for neither.
Circuit at_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                std::span<const int> end);

// Whether every bent element is on the piece in `circuit` that it is on in the nominal solution.
bool on_same_pieces(const Circuit& nominal, const OperatingPoint& point, const Circuit& circuit,
                    const OperatingPoint& there);

// The branches of `circuit` with every element on the piece that it has in the nominal solution; nothing is
// watched, and no fronts until factor_on().
Settled on_nominal_pieces(const Circuit& nominal, const Circuit& circuit, const OperatingPoint& point);

// What lets least (or most) current through everywhere: the end of each figure.
std::vector<int> stiff_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                            bool stiff);

}  // namespace loomgraft::readings
