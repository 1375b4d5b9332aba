// Bands of healthy readings against looms drawn at random between their corners.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "readings/dictionary_internal.h"
#include "readings/full_solve_internal.h"
#include "tests/network/random_loom.h"

namespace loomgraft::readings_spans_test {
namespace {

using namespace loomgraft::readings;

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
    const auto node = [&] {
      return NodeId{static_cast<std::uint32_t>(random() % trio.nominal.nodes.size())};
    };
    const MeterKind kinds[] = {MeterKind::volts, dead ? MeterKind::ohms : MeterKind::volts,
                               dead ? MeterKind::ohms : MeterKind::amperes};
    trio.tests.push_back({kinds[random() % 3], node(), random() % 3 == 0 ? earth_node : node(),
                          static_cast<std::size_t>(random() % trio.nominal.branches.size())});
  }
  return trio;
}

// Each figure anywhere between its ends, half the time at one of them.
Circuit drawn_between(const Trio& trio, std::mt19937_64& random) {
  Circuit circuit = trio.nominal.circuit;
  const auto draw = [&](double& value, double low, double high) {
    if (low == high || std::isinf(low) || std::isinf(high)) return;
    const auto turn = random() % 4;
    const double place = static_cast<double>(random() >> 11) * 0x1p-53;
    if (turn == 0) value = low;
    if (turn == 1) value = high;
    if (turn > 1)
      value = low > 0.0 && high > 0.0 ? low * std::pow(high / low, place) : low + place * (high - low);
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
  int far = 0;  // by more than a hundredth of the reading, or of a volt, an ampere or an ohm
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
      const auto reading = reading_by_full_solve(network, trio.tests[t], solver);
      ASSERT_TRUE(reading);
      const ReadingSpan& span = (*spans)[t];
      const double beyond = std::max(span.low - *reading, *reading - span.high);
      ++outside.readings;
      outside.outside += beyond > 1e-9 * std::abs(*reading);
      outside.far += beyond > 0.01 * std::max(std::abs(*reading), 1.0);
    }
  }
}

// Between any two nodes, floating ones and relays at their limit among them: there a reading is no monotone
// function of anything, and three in a thousand looms drawn mostly from corners read beyond the band.
TEST(ReadingSpans, ContainLoomsBetweenTheirCorners) {
  Outside live;
  for (std::uint64_t seed = 0; seed < 50; ++seed) read_drawn_looms(drawn_trio(seed, false), seed, 20, live);
  EXPECT_EQ(live.readings, 24000);
  EXPECT_LE(live.outside, 0.005 * live.readings);
  EXPECT_LE(live.far, 0.001 * live.readings);
}

TEST(ReadingSpans, ContainEveryDeadLoomInOhms) {
  Outside dead;
  for (std::uint64_t seed = 0; seed < 50; ++seed) read_drawn_looms(drawn_trio(seed, true), seed, 20, dead);
  EXPECT_EQ(dead.readings, 24000);
  EXPECT_EQ(dead.outside, 0);
}

Trio heater_trio() {
  const Graft graft = heater_loom();
  const auto at = [&](Corner corner) { return network_of(graft, {}, {.corner = corner, .crimps = true}); };
  Trio trio{at(Corner::nominal), at(Corner::weakest), at(Corner::strongest), {}};
  const auto node = [&](const char* id, const char* terminal) {
    return *node_at(trio.nominal, {id, terminal});
  };
  trio.tests = {{MeterKind::volts, node("H1", "1"), node("H1", "2"), 0},
                {MeterKind::volts, node("H1", "1"), earth_node, 0},
                {MeterKind::volts, node("F1", "1"), node("F1", "2"), 0},
                {MeterKind::volts, node("H1", "2"), node("BAT", "-"), 0}};
  for (std::size_t k = 0; k < trio.nominal.branches.size(); ++k) {
    if (trio.nominal.branches[k].kind == BranchKind::fuse)
      trio.tests.push_back({MeterKind::amperes, {}, {}, k});
  }
  return trio;
}

TEST(ReadingSpans, ContainTenThousandHeaters) {
  Outside outside;
  read_drawn_looms(heater_trio(), 1, 10000, outside);
  EXPECT_EQ(outside.readings, 50000);
  EXPECT_EQ(outside.outside, 0);
}

// Every figure of the circuit that differs between the ends, to be set to either.
std::vector<std::function<void(Circuit&, bool)>> figures_of(const Trio& trio) {
  std::vector<std::function<void(Circuit&, bool)>> figures;
  const auto ends = [&](bool high) -> const Circuit& { return high ? trio.high.circuit : trio.low.circuit; };
  for (std::size_t k = 0; k < trio.nominal.circuit.resistors.size(); ++k) {
    figures.push_back([=, &trio](Circuit& circuit, bool high) {
      circuit.resistors[k].resistance = (high ? trio.high : trio.low).circuit.resistors[k].resistance;
    });
  }
  for (std::size_t k = 0; k < trio.nominal.circuit.sources.size(); ++k) {
    figures.push_back([=, &trio](Circuit& circuit, bool high) {
      circuit.sources[k].voltage = (high ? trio.high : trio.low).circuit.sources[k].voltage;
    });
    figures.push_back([=, &trio](Circuit& circuit, bool high) {
      circuit.sources[k].resistance = (high ? trio.high : trio.low).circuit.sources[k].resistance;
    });
  }
  EXPECT_EQ(ends(true).resistors.size(), ends(false).resistors.size());
  return figures;
}

// The best corner by trying every figure in turn until none helps: exact where the reading is monotone.
double extreme_reading(const Trio& trio, const DictionaryTest& test, bool greatest) {
  Solver solver;
  LoomNetwork network = bare(trio.nominal);
  double best = *reading_by_full_solve(network, test, solver);
  for (bool better = true; better;) {
    better = false;
    for (const auto& set : figures_of(trio)) {
      for (const bool high : {false, true}) {
        LoomNetwork other = network;
        set(other.circuit, high);
        const double reading = *reading_by_full_solve(other, test, solver);
        if (greatest ? reading <= best : reading >= best) continue;
        best = reading;
        network = std::move(other);
        better = true;
      }
    }
  }
  return best;
}

TEST(ReadingSpans, LieWithinOnePercentOfTheCorners) {
  const Trio trio = heater_trio();
  const auto spans = reading_spans(trio.nominal, trio.low, trio.high, trio.tests);
  ASSERT_TRUE(spans);
  for (std::size_t t = 0; t < trio.tests.size(); ++t) {
    const double low = extreme_reading(trio, trio.tests[t], false);
    const double high = extreme_reading(trio, trio.tests[t], true);
    EXPECT_NEAR((*spans)[t].low, low, 0.01 * std::abs(low)) << t;
    EXPECT_NEAR((*spans)[t].high, high, 0.01 * std::abs(high)) << t;
    EXPECT_LE((*spans)[t].low, low + 1e-9 * std::abs(low)) << t;
    EXPECT_GE((*spans)[t].high, high - 1e-9 * std::abs(high)) << t;
  }
}

// Two loads, each behind a contact; `relay`: the contacts are those of one relay that has pulled in.
LoomNetwork two_contacts(double ohms, bool relay) {
  LoomNetwork network;
  Circuit& circuit = network.circuit;
  const NodeId feed = circuit.add_node();
  const NodeId one = circuit.add_node();
  const NodeId other = circuit.add_node();
  circuit.resistors = {{feed, one, {ohms}},
                       {feed, other, {ohms}},
                       {one, earth_node, {10.0}},
                       {other, earth_node, {10.0}},
                       {feed, earth_node, {100.0}}};
  circuit.sources = {{feed, earth_node, {12.0}, {0.01}, {std::numeric_limits<double>::infinity()}}};
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    const Resistor& item = circuit.resistors[k];
    network.branches.push_back({BranchKind::wire, {}, {}, item.a, item.b, ElementList::resistor, k, {}});
  }
  if (relay) network.relays = {{"K1", feed, earth_node, {8.0}, {2.0}, {0, 1}, {}, {ohms}, {1e9}}};
  return network;
}

TEST(ReadingSpans, PutEachContactOfARelayAtItsOwnEnd) {
  const auto span_of = [](bool relay) {
    const DictionaryTest between{MeterKind::volts, {2}, {3}, 0};
    const auto spans = reading_spans(two_contacts(0.1, relay), two_contacts(0.5, relay),
                                     two_contacts(0.01, relay), {&between, 1});
    return spans ? spans->front() : ReadingSpan{};
  };
  const ReadingSpan plain = span_of(false);
  const ReadingSpan relay = span_of(true);
  EXPECT_GT(plain.high, 0.5);
  EXPECT_NEAR(relay.high, plain.high, 1e-6);
  EXPECT_NEAR(relay.low, plain.low, 1e-6);
}

TEST(ReadingSpans, RefuseNetworksOfDifferentShapes) {
  const Trio trio = heater_trio();
  LoomNetwork other = trio.low;
  other.circuit.add_node();
  const auto spans = reading_spans(trio.nominal, other, trio.high, trio.tests);
  ASSERT_FALSE(spans);
  EXPECT_EQ(spans.error().code, "other-shape");
}

}  // namespace
}  // namespace loomgraft::readings_spans_test
