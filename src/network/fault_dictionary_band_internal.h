// Bands of driven tests: what the single effects and the vertices share.
#pragma once

#include <vector>

#include "network/fault_dictionary_spread_internal.h"
#include "network/relay_steps_internal.h"

namespace loomgraft {

// A spread that is the resistance of a relay's contact.
struct RelayContact {
  std::size_t spread = 0;
  std::size_t relay = 0;
  bool closed = false;  // in the nominal network
};

struct Banding {
  LoomNetwork nominal;
  LoomNetwork low;
  LoomNetwork high;
  LoomNetwork vertex;            // scratch
  std::vector<RelayStep> steps;  // of the nominal one
  Ends ends;
  OperatingPoint point;
  Settled settled;
  std::vector<Spread> spreads;
  std::vector<SpanChange> changes;
  std::vector<RelayContact> contacts;
  MeterFigures meter;
  Solver solver;
  bool dead = true;    // at both ends too
  double agree = 0.0;  // sum and product of single effects, as a share of the reading
};

struct Seen {
  const DictionaryTest& test;
  std::size_t clamp = 0;  // of Settled::branches
  double volts = 0.0;
  double ohms = 0.0;
  bool metered = false;  // the meter is part of the network already
};

// A solved network and what a test's ampere does in it.
struct Viewpoint {
  const Seen& seen;
  const Settled& settled;
  std::span<const Spread> spreads;
  const Lanes* z = nullptr;
  std::size_t lane = 0;
};

void widen(ReadingSpan& span, double reading);
double in_full(Banding& banding, const LoomNetwork& network, const DictionaryTest& test);
// In the network that `settled` is of.
double reading_in(const Banding& banding, const Seen& seen, const Settled& settled);
// With one figure at one of its ends; `q`: what the test's ampere does across its branch.
double reading_at(const Banding& banding, const Seen& seen, const Settled& settled, const Spread& spread,
                  double q, std::size_t end);

// Widens by the readings of vertices: every figure at one of its ends. `view`: from the nominal network.
// Where the meter itself moves something, there or at a vertex, it is part of the vertices from the start.
void span_by_vertices(Banding& banding, const Viewpoint& view, bool metered, ReadingSpan& span);

}  // namespace loomgraft
