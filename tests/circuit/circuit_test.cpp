#include "circuit/circuit.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cmath>
#include <limits>
#include <random>

#include "network/netlist.h"
#include "tests/network/ngspice.h"

namespace loomgraft::circuit_circuit_test {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

double log_uniform(std::mt19937_64& random, double low, double high) {
  return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
}

// A tree of resistors to the reference with chords, sources with and without limits, and diodes on top.
Circuit random_circuit(std::uint64_t seed, std::uint32_t nodes) {
  std::mt19937_64 random(seed);
  Circuit circuit;
  for (std::uint32_t k = 1; k <= nodes; ++k) {
    const NodeId node = circuit.add_node();
    circuit.resistors.push_back(
        {node, {static_cast<std::uint32_t>(random() % k)}, {log_uniform(random, 0.01, 1e5)}});
  }
  const auto any = [&] { return NodeId{static_cast<std::uint32_t>(random() % circuit.node_count)}; };
  for (std::uint32_t k = 0; k < nodes / 2 + 1; ++k) {
    circuit.resistors.push_back({any(), any(), {log_uniform(random, 0.1, 1e4)}});
    const double volts = static_cast<double>(random() % 3000) * 0.01 - 6.0;
    const bool limited = random() % 2 == 0;
    circuit.sources.push_back({any(),
                               random() % 3 == 0 ? any() : earth_node,
                               {volts},
                               {log_uniform(random, 0.01, 100.0)},
                               {limited ? log_uniform(random, 0.01, 5.0) : unlimited}});
    circuit.diodes.push_back(
        {any(), any(), {0.7}, {log_uniform(random, 0.05, 5.0)}, {random() % 2 == 0 ? 1e7 : unlimited}});
  }
  return circuit;
}

// Largest imbalance of current at a node other than the reference, against the largest current of the
// circuit.
double imbalance(const Circuit& circuit, const OperatingPoint& point) {
  std::vector<double> sum(circuit.node_count, 0.0);
  double largest = 1e-9;
  const auto flow = [&](NodeId from, NodeId to, Amperes current) {
    sum[from.value] -= current.si;
    sum[to.value] += current.si;
    largest = std::max(largest, std::abs(current.si));
  };
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    flow(circuit.resistors[k].a, circuit.resistors[k].b, point.resistors[k]);
  }
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) {
    flow(circuit.sources[k].minus, circuit.sources[k].plus, point.sources[k]);
  }
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) {
    flow(circuit.diodes[k].anode, circuit.diodes[k].cathode, point.diodes[k]);
  }
  double worst = 0.0;
  for (std::size_t node = 1; node < sum.size(); ++node) worst = std::max(worst, std::abs(sum[node]));
  return worst / largest;
}

double volts_across(const OperatingPoint& point, NodeId a, NodeId b) {
  return point.nodes[a.value].si - point.nodes[b.value].si;
}

// Power of the ideal parts of the sources against heat in everything else.
void expect_power_balance(const Circuit& circuit, const OperatingPoint& point) {
  double given = 0.0;
  double taken = 0.0;
  double size = 1e-9;
  const auto add = [&](double& side, double power) {
    side += power;
    size = std::max(size, std::abs(power));
  };
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    const double current = point.resistors[k].si;
    add(taken, current * current * circuit.resistors[k].resistance.si);
  }
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) {
    add(given, point.sources[k].si * volts_across(point, circuit.sources[k].plus, circuit.sources[k].minus));
  }
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) {
    add(taken, point.diodes[k].si * volts_across(point, circuit.diodes[k].anode, circuit.diodes[k].cathode));
  }
  EXPECT_NEAR(given, taken, 1e-9 * size);
}

TEST(Circuit, DividesAVoltage) {
  Circuit circuit;
  const NodeId feed = circuit.add_node();
  const NodeId tap = circuit.add_node();
  circuit.sources.push_back({feed, earth_node, {12.0}, {1.0}, {unlimited}});
  circuit.resistors.push_back({feed, tap, {5.0}});
  circuit.resistors.push_back({tap, earth_node, {6.0}});
  const auto point = solve(circuit);
  ASSERT_TRUE(point);
  EXPECT_DOUBLE_EQ(point->nodes[tap.value].si, 6.0);
  EXPECT_DOUBLE_EQ(point->sources[0].si, 1.0);
  EXPECT_DOUBLE_EQ(point->resistors[0].si, 1.0);
}

TEST(Circuit, LimitTurnsASourceIntoACurrent) {
  Circuit circuit;
  const NodeId node = circuit.add_node();
  circuit.sources.push_back({node, earth_node, {5.0}, {1.0}, {0.05}});
  circuit.resistors.push_back({node, earth_node, {10.0}});
  const auto point = solve(circuit);
  ASSERT_TRUE(point);
  EXPECT_NEAR(point->nodes[1].si, 0.5, 1e-9);
  EXPECT_NEAR(point->sources[0].si, 0.05, 1e-9);
}

TEST(Circuit, LimitHoldsInBothDirections) {
  Circuit circuit;
  const NodeId node = circuit.add_node();
  circuit.sources.push_back({node, earth_node, {5.0}, {1.0}, {0.05}});
  circuit.sources.push_back({node, earth_node, {14.4}, {10.0}, {unlimited}});
  const auto point = solve(circuit);
  ASSERT_TRUE(point);
  EXPECT_NEAR(point->sources[0].si, -0.05, 1e-9);
  EXPECT_NEAR(point->nodes[1].si, 14.4 - 0.5, 1e-9);
}

TEST(Circuit, DiodeConductsOneWay) {
  for (const double volts : {10.0, -10.0}) {
    Circuit circuit;
    const NodeId feed = circuit.add_node();
    const NodeId out = circuit.add_node();
    circuit.sources.push_back({feed, earth_node, {volts}, {1.0}, {unlimited}});
    circuit.diodes.push_back({feed, out, {0.7}, {0.3}, {1e6}});
    circuit.resistors.push_back({out, earth_node, {8.0}});
    const auto point = solve(circuit);
    ASSERT_TRUE(point);
    // Above the knee: (10 - 0.7 + 0.7e-6 * 0.3) / 9.3, below: 10 V over a megohm.
    const double expected = volts > 0 ? (10.0 - 0.7 + 0.7e-6 * 0.3) / 9.3 : -10.0 / (1e6 + 9.0);
    EXPECT_NEAR(point->diodes[0].si, expected, 1e-12);
  }
}

TEST(Circuit, KeepsEveryDigitBesideALargeConductance) {
  // A leak of 10 gigohm behind a joint of 10 microhm: plain elimination loses the leak.
  Circuit circuit;
  const NodeId near = circuit.add_node();
  const NodeId far = circuit.add_node();
  circuit.sources.push_back({near, earth_node, {14.4}, {1e10}, {unlimited}});
  circuit.resistors.push_back({near, far, {1e-5}});
  circuit.resistors.push_back({far, earth_node, {1e10}});
  const auto point = solve(circuit);
  ASSERT_TRUE(point);
  EXPECT_NEAR(point->nodes[2].si, 7.2, 1e-12);
}

TEST(Circuit, NamesAFloatingNode) {
  Circuit circuit;
  const NodeId a = circuit.add_node();
  const NodeId b = circuit.add_node();
  circuit.resistors.push_back({a, b, {1.0}});
  const auto point = solve(circuit);
  ASSERT_FALSE(point);
  EXPECT_EQ(point.error().code, "floating-node");
  circuit.diodes.push_back({a, earth_node, {0.7}, {1.0}, {unlimited}});
  EXPECT_FALSE(solve(circuit)) << "a diode without leakage is no path";
  circuit.diodes[0].off_resistance = {1e9};
  EXPECT_TRUE(solve(circuit));
}

// Limits are symmetric, so sources that drive against each other find a point: the stronger holds the node,
// and in a ring the weakest drops what is left over.
TEST(Circuit, BalancesSourcesAgainstEachOther) {
  Circuit circuit;
  const NodeId node = circuit.add_node();
  circuit.sources.push_back({node, earth_node, {12.0}, {0.1}, {2.0}});
  circuit.sources.push_back({node, earth_node, {-12.0}, {0.1}, {1.0}});
  const auto held = solve(circuit);
  ASSERT_TRUE(held);
  EXPECT_NEAR(held->nodes[1].si, 11.9, 1e-6);
  circuit.sources.pop_back();
  const NodeId other = circuit.add_node();
  circuit.sources.push_back({node, other, {5.0}, {1.0}, {1.0}});
  circuit.sources.push_back({other, earth_node, {-50.0}, {1.0}, {5.0}});
  const auto ring = solve(circuit);
  ASSERT_TRUE(ring);
  EXPECT_NEAR(ring->sources[0].si, 1.0, 1e-9);
  EXPECT_NEAR(ring->nodes[node.value].si, 11.9, 1e-6);
}

TEST(Circuit, RefusesImpossibleElements) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double ohms : {0.0, -1.0, nan}) {
    Circuit circuit;
    const NodeId node = circuit.add_node();
    circuit.resistors.push_back({node, earth_node, {ohms}});
    const auto point = solve(circuit);
    ASSERT_FALSE(point);
    EXPECT_EQ(point.error().code, "bad-element");
  }
  Circuit circuit;
  circuit.resistors.push_back({{7}, earth_node, {1.0}});
  EXPECT_FALSE(solve(circuit)) << "node 7 does not exist";
  circuit.resistors.clear();
  circuit.diodes.push_back({earth_node, earth_node, {0.7}, {1.0}, {0.5}});
  EXPECT_FALSE(solve(circuit)) << "a diode that conducts better when off";
}

TEST(Circuit, BalancesCurrentAndPower) {
  int solved = 0;
  for (std::uint64_t seed = 0; seed < 400; ++seed) {
    const Circuit circuit = random_circuit(seed, 2 + static_cast<std::uint32_t>(seed % 100));
    const auto point = solve(circuit);
    if (!point) continue;
    ++solved;
    EXPECT_LT(imbalance(circuit, *point), 1e-9) << "seed " << seed;
    expect_power_balance(circuit, *point);
  }
  EXPECT_EQ(solved, 400);
}

// Any values at all: an answer or a Problem, never a hang; the same twice.
TEST(Circuit, SolvesAnyCircuit) {
  EXPECT_TRUE(rc::check("solve terminates", [](std::uint64_t seed) {
    std::mt19937_64 random(seed);
    Circuit circuit = random_circuit(seed, 1 + static_cast<std::uint32_t>(random() % 12));
    const double odd[] = {0.0, -1.0, 1e-300, 1e300, 1e-12, 1e12, unlimited, std::nan("")};
    for (int k = 0; k < 3; ++k) {
      const double value = odd[random() % std::size(odd)];
      if (random() % 2) circuit.resistors[random() % circuit.resistors.size()].resistance = {value};
      if (random() % 2) circuit.sources[random() % circuit.sources.size()].limit = {value};
      if (random() % 2) circuit.sources[random() % circuit.sources.size()].voltage = {value};
      if (random() % 2) circuit.diodes[random() % circuit.diodes.size()].on_resistance = {value};
    }
    const auto first = solve(circuit);
    const auto second = solve(circuit);
    RC_ASSERT(first.has_value() == second.has_value());
    if (first) RC_ASSERT(first->nodes == second->nodes);
  }));
}

// The exported netlist in ngspice, to 1e-6 relative or a microvolt.
TEST(Circuit, AgreesWithNgspice) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  int compared = 0;
  int refused = 0;
  for (std::uint64_t seed = 1000; compared < 150 && seed < 1300; ++seed) {
    const Circuit circuit = random_circuit(seed, 2 + static_cast<std::uint32_t>(seed % 8));
    const auto point = solve(circuit);
    ASSERT_TRUE(point) << "seed " << seed;
    auto volts = reference::ngspice_volts(netlist(circuit), circuit.node_count);
    if (volts.empty()) {
      // Its Newton method swings; started at the answer it must still agree that this is one.
      ++refused;
      volts = reference::ngspice_volts(netlist(circuit, &*point), circuit.node_count);
      if (volts.empty()) continue;
    }
    ++compared;
    for (std::size_t node = 1; node < volts.size(); ++node) {
      EXPECT_NEAR(point->nodes[node].si, volts[node], 1e-6 + 1e-6 * std::abs(volts[node]))
          << "seed " << seed << " node " << node;
    }
  }
  EXPECT_GE(compared - refused, 80) << "circuits that ngspice solved without a start";
  EXPECT_GE(compared, 100);
  std::printf("%d circuits compared, %d of them asked for a start\n", compared, refused);
}

}  // namespace
}  // namespace loomgraft::circuit_circuit_test
