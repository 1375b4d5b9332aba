// Bands of healthy readings against looms drawn at random between their corners.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "network/fault_dictionary_internal.h"
#include "network/meter_reading_internal.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

using namespace samples;

struct Trio {
  LoomNetwork nominal;
  LoomNetwork low;
  LoomNetwork high;
  std::vector<DictionaryTest> tests;
};

Trio drawn_trio(std::uint64_t seed, bool dead) {
  std::mt19937_64 random(seed);
  DrawnLoom loom = random_loom(seed, 2 + static_cast<int>(seed % 10), 12.0);
  loom.condition.battery_off = dead;
  if (dead) loom.condition.key = KeyPosition::off;
  const auto at = [&](Corner corner) {
    return network_of(loom.graft, loom.condition, {.corner = corner, .crimps = true});
  };
  Trio trio{at(Corner::nominal), at(Corner::weakest), at(Corner::strongest), {}};
  for (int k = 0; k < 24; ++k) {
    const auto node = [&] { return NodeId{static_cast<std::uint32_t>(random() % trio.nominal.nodes.size())}; };
    const MeterKind kinds[] = {MeterKind::volts, dead ? MeterKind::ohms : MeterKind::volts,
                               dead ? MeterKind::ohms : MeterKind::amperes};
    trio.tests.push_back({kinds[random() % 3], node(), random() % 3 == 0 ? earth_node : node(),
                          static_cast<std::size_t>(random() % trio.nominal.branches.size())});
  }
  return trio;
}

// Each figure anywhere between its ends, as like as not at one of them.
Circuit drawn_between(const Trio& trio, std::mt19937_64& random) {
  Circuit circuit = trio.nominal.circuit;
  const auto draw = [&](double& value, double low, double high) {
    if (low == high || std::isinf(low) || std::isinf(high)) return;
    const auto turn = random() % 4;
    const double place = static_cast<double>(random() >> 11) * 0x1p-53;
    if (turn == 0) value = low;
    if (turn == 1) value = high;
    if (turn > 1) value = low > 0.0 && high > 0.0 ? low * std::pow(high / low, place) : low + place * (high - low);
  };
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    draw(circuit.resistors[k].resistance.si, trio.low.circuit.resistors[k].resistance.si,
         trio.high.circuit.resistors[k].resistance.si);
  }
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) {
    const LimitedSource& low = trio.low.circuit.sources[k];
    const LimitedSource& high = trio.high.circuit.sources[k];
    draw(circuit.sources[k].voltage.si, low.voltage.si, high.voltage.si);
    draw(circuit.sources[k].resistance.si, low.resistance.si, high.resistance.si);
    draw(circuit.sources[k].limit.si, low.limit.si, high.limit.si);
  }
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) {
    const Diode& low = trio.low.circuit.diodes[k];
    const Diode& high = trio.high.circuit.diodes[k];
    draw(circuit.diodes[k].forward.si, low.forward.si, high.forward.si);
    draw(circuit.diodes[k].on_resistance.si, low.on_resistance.si, high.on_resistance.si);
  }
  return circuit;
}

struct Outside {
  int readings = 0;
  int outside = 0;
  double worst = 0.0;  // share of the reading, at least 10 mV, 10 mA or 0.1 ohm
};

void read_drawn_looms(const Trio& trio, std::uint64_t seed, int looms, Outside& outside) {
  const auto spans = reading_spans(trio.nominal, trio.low, trio.high, trio.tests);
  ASSERT_TRUE(spans);
  std::mt19937_64 random(seed);
  Solver solver;
  for (int k = 0; k < looms; ++k) {
    LoomNetwork network = bare(trio.nominal);
    network.circuit = drawn_between(trio, random);
    for (std::size_t t = 0; t < trio.tests.size(); ++t) {
      const auto reading = reading_in_full(network, trio.tests[t], solver);
      ASSERT_TRUE(reading);
      const ReadingSpan& span = (*spans)[t];
      ++outside.readings;
      const double beyond = std::max(span.low - *reading, *reading - span.high);
      if (!(beyond > 1e-9 * std::abs(*reading))) continue;
      ++outside.outside;
      const double floor = trio.tests[t].kind == MeterKind::ohms ? 0.1 : 0.01;
      outside.worst = std::max(outside.worst, beyond / std::max(std::abs(*reading), floor));
      if (getenv("SHOW")) printf("seed %lu test %zu kind %d: %.9g outside %.9g .. %.9g nominal %.9g\n", seed, t, (int)trio.tests[t].kind, *reading, span.low, span.high, span.nominal);
    }
  }
}

TEST(ReadingSpans, HoldLoomsDrawnBetweenTheirCorners) {
  for (const bool dead : {false, true}) {
    Outside outside;
    for (std::uint64_t seed = 0; seed < 50; ++seed) read_drawn_looms(drawn_trio(seed, dead), seed, 20, outside);
    printf("dead %d: %d readings, %d outside, worst %g\n", dead, outside.readings, outside.outside, outside.worst);
  }
}

}  // namespace
}  // namespace loomgraft
