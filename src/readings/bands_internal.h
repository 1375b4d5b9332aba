// Bands of readings of live networks: what the single effects and the vertices share.
#pragma once

#include <vector>

#include "base/stop.h"
#include "network/relay_steps.h"
#include "readings/spread_internal.h"

namespace loomgraft::readings {

// A spread that is the resistance of a relay's contact.
struct RelayContact {
  std::size_t spread = 0;
  std::size_t relay = 0;
  bool closed = false;  // in the nominal network
};

struct BandEngine {
  LoomNetwork nominal;
  Circuit low;  // contacts as the nominal network's relays have them
  Circuit high;
  LoomNetwork vertex;            // scratch, built on first use
  std::vector<RelayStep> steps;  // of the nominal network
  // Where to begin at the next vertex, by direction: the steps of the last one, then the nominal ones.
  std::vector<RelayStep> near_vertex[2];
  Ends ends;
  OperatingPoint point;
  LinearisedNetwork linearised;
  std::vector<Spread> spreads;
  std::vector<RelayContact> contacts;
  MeterFigures meter;
  Solver solver;
  bool linear = false;  // see is_linear()
  bool dead = true;     // at both ends too
  double agree =
      0.0;  // allowed difference of sum and product of the single effects, as a share of the reading
  double little = 0.0;  // share of a band's width: figures that promise no more are not worth another vertex
  StopToken stop{};
};

struct TestPort {
  const DictionaryTest& test;
  std::size_t clamp = 0;  // of LinearisedNetwork::branches
  double volts = 0.0;
  double ohms = 0.0;
  bool metered = false;  // the meter is already part of the network
};

// A solved network and the volts that one ampere through a test's probes raises in it.
struct SolvedPort {
  const TestPort& port;
  const LinearisedNetwork& linearised;
  std::span<const Spread> spreads;
  const Lanes* z = nullptr;
  std::size_t lane = 0;
};

// Of the probes, or of the clamped branch.
Dipole dipole_of(const TestPort& port, const LinearisedNetwork& linearised);
// Reads the port's open volts and resistance.
void read_port(ChangedFronts& work, Dipole dipole, TestPort& port);

void widen(ReadingSpan& span, double reading);
double reading_by_full_solve(BandEngine& engine, const LoomNetwork& network, const DictionaryTest& test);
// In the network that `linearised` belongs to.
double reading_in(const BandEngine& engine, const TestPort& port, const LinearisedNetwork& linearised);
// With one figure at one of its ends; `q`: the volts that the test's ampere raises across its branch.
double reading_at(const BandEngine& engine, const TestPort& port, const LinearisedNetwork& linearised,
                  const Spread& spread, double q, std::size_t end);

// Widens the span by the readings of vertices: every figure at one of its ends. `solved`: of the nominal
// network. If the meter itself puts an element on another piece, there or at a vertex, it is part of the
// network from the start.
void span_by_vertices(BandEngine& engine, const SolvedPort& solved, bool metered, ReadingSpan& span);

// The spreads as tests in other subtrees need them, sorted by subtree, the core's last.
struct FarSpans {
  std::vector<FarSpan> at;
  std::vector<std::uint32_t> first;
  double weight =
      0.0;  // the largest amount that any adds to a test's conductance, per square of the core's volts
};

// Spreads of next to no current, from their position to the reference, are summed over the core (faint).
// Those that change the current of a meter very little are light.
struct SpanTable {
  std::vector<SpanChange> near;  // by spread
  FarSpans light;
  FarSpans heavy;
  std::vector<FaintSpan> faint;
};
SpanTable span_table(const BandEngine& engine, const TreeCore& core);

}  // namespace loomgraft::readings
