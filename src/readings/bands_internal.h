// Bands of driven tests: what the single effects and the vertices share.
#pragma once

#include <vector>

#include "readings/spread_internal.h"
#include "network/relay_steps.h"

namespace loomgraft::readings {

// A spread that is the resistance of a relay's contact.
struct RelayContact {
  std::size_t spread = 0;
  std::size_t relay = 0;
  bool closed = false;  // in the nominal network
};

struct Banding {
  LoomNetwork nominal;
  Circuit low;  // contacts as the nominal network's relays have them
  Circuit high;
  LoomNetwork vertex;            // scratch, laid out once it is asked for
  std::vector<RelayStep> steps;  // of the nominal one
  Ends ends;
  OperatingPoint point;
  Settled settled;
  std::vector<Spread> spreads;
  std::vector<RelayContact> contacts;
  MeterFigures meter;
  Solver solver;
  bool straight = false;  // see is_straight()
  bool dead = true;       // at both ends too
  double agree = 0.0;     // sum and product of single effects, as a share of the reading
  std::stop_token stop{};
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

// Of the probes, or of the clamped branch.
Dipole dipole_of(const Seen& seen, const Settled& settled);
// Takes its volts and ohms.
void look(ChangedFronts& work, Dipole dipole, Seen& seen);

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

// What spreads, as tests far from it see it. By the twig that it is in, the crown's last.
struct FarSpans {
  std::vector<FarSpan> at;
  std::vector<std::uint32_t> first;
  double weight = 0.0;  // the most that any adds to a test's conductance by the crown's volts squared
};

// What is next to no current, from its position to the reference, comes down to a sum over the crown; what
// moves next to nothing of what a meter draws is light.
struct SpanTable {
  std::vector<SpanChange> near;  // by spread
  FarSpans light;
  FarSpans heavy;
  std::vector<FaintSpan> faint;
};
SpanTable span_table(const Banding& banding, const Crown& crown);

}  // namespace loomgraft::readings
