// What the parts of reading_spans() share.
#pragma once

#include <limits>
#include <memory>
#include <span>
#include <vector>

#include "network/fault_dictionary_spread_internal.h"

namespace loomgraft {

struct Banding {
  const LoomNetwork* nominal = nullptr;
  std::unique_ptr<LoomNetwork> bared;  // the same without what costs to copy, once that is asked for
  Circuit low;                         // contacts as the nominal network's relays have them
  Circuit high;
  OperatingPoint point;
  Settled settled;
  std::vector<Spread> spreads;
  MeterFigures meter;
  Solver solver;
  bool straight = false;  // see is_straight()
  bool dead = true;       // at both ends too
  double agree = 0.0;

  Ends ends() const { return {&low, &high}; }
  const Circuit& circuit() const { return nominal->circuit; }
  const LoomNetwork& bare_nominal() {
    if (!bared) nominal = (bared = std::make_unique<LoomNetwork>(bare(*nominal))).get();
    return *bared;
  }
};

// One test in volts or amperes, open, healthy.
struct SpanTest {
  const DictionaryTest& test;
  std::size_t clamp = 0;  // of Settled::branches
  double volts = 0.0;
  double ohms = 0.0;
};

void widen(ReadingSpan& span, double reading);
double nominal_reading(const Banding& banding, const SpanTest& seen);
// With one figure at one end, `q` across its element for an ampere through the probes.
double reading_at(const Banding& banding, const SpanTest& seen, const Spread& spread, double q,
                  std::size_t end);

// With every element on its nominal piece and the relays where they are: what a loom reads in which nothing
// has swung, though at the vertex something would. `z` everywhere.
void span_by_frozen_vertices(const Banding& banding, const SpanTest& seen, const Lanes* z, std::size_t lane,
                             ReadingSpan& span);
// Every figure at the end that its own effect asks for, solved; and again from there, since what a figure
// does may turn when others have moved.
void span_by_vertices(Banding& banding, const DictionaryTest& test, ReadingSpan& span);

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

}  // namespace loomgraft
