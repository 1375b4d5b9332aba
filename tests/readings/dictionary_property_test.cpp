// Properties of the fault dictionary for any loom, test and change.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cmath>
#include <limits>
#include <random>

#include "readings/dictionary_internal.h"
#include "readings/full_solve_internal.h"
#include "tests/readings/random_network.h"

namespace loomgraft::readings_dictionary_property_test {
namespace {

using namespace loomgraft::readings;

constexpr double unlimited = std::numeric_limits<double>::infinity();

// Strings of joints and loads between rails and earth points, as many as there are tests and subtrees for blocks
// to cut anywhere; some are joined by crossed wires, some float.
struct Loom {
  LoomNetwork network;
  std::vector<DictionaryTest> tests;
  std::vector<NetworkChange> changes;
};

struct Shape {
  std::uint64_t seed = 0;
  int wires = 0;
  bool live = false;
  bool nonlinear = false;  // diodes and a limited source
  int tests = 0;
};

std::size_t join(LoomNetwork& network, NodeId a, NodeId b, double ohms) {
  network.branches.push_back(
      {BranchKind::wire, {}, {}, a, b, ElementList::resistor, network.circuit.resistors.size(), {}});
  network.circuit.resistors.push_back({a, b, {ohms}});
  return network.branches.size() - 1;
}

void add_wire(LoomNetwork& network, Draw& draw, NodeId from, NodeId to, bool nonlinear) {
  NodeId at = from;
  const std::size_t length = 2 + draw.below(7);
  const std::size_t load = draw.below(length);
  for (std::size_t k = 0; k < length; ++k) {
    const NodeId next = k + 1 == length ? to : network.circuit.add_node();
    // Beside the load, or in the string: there a meter on an opened string may be what makes it conduct.
    const bool diode = nonlinear && draw.one_in(k == load ? 3 : 8);
    if (diode) network.circuit.diodes.push_back({at, next, {0.7}, {0.05}, {1e7}});
    if (!diode || k == load)
      join(network, at, next, k == load ? draw.between(0.5, 1e5) : draw.between(1e-4, 0.1));
    at = next;
  }
}

NetworkChange drawn_change(Draw& draw, const Loom& loom) {
  NetworkChange change;
  const auto branch = [&] { return draw.below(loom.network.branches.size()); };
  const auto turn = draw.below(8);
  if (turn < 3) {
    change.branches.push_back({branch(), {draw.one_in(2) ? unlimited : draw.between(1e-3, 1e6)}});
  } else if (turn < 6) {
    change.bridges.push_back({draw.node(loom.network),
                              draw.one_in(3) ? earth_node : draw.node(loom.network),
                              {draw.between(1e-3, 1e3)}});
  } else if (turn == 6) {  // two wires swapped, approximately
    change.branches = {{branch(), {unlimited}}, {branch(), {unlimited}}};
    change.bridges = {{draw.node(loom.network), draw.node(loom.network), {0.01}},
                      {draw.node(loom.network), draw.node(loom.network), {0.01}}};
  }
  return change;
}

Loom drawn_loom(const Shape& shape) {
  Draw draw{std::mt19937_64(shape.seed)};
  Loom loom;
  LoomNetwork& network = loom.network;
  std::vector<NodeId> rails;
  for (int k = 0; k < 2 + shape.wires / 6; ++k) rails.push_back(network.circuit.add_node());
  if (shape.live) network.circuit.sources.push_back({rails[0], earth_node, {12.6}, {0.01}, {unlimited}});
  if (shape.live && shape.nonlinear)
    network.circuit.sources.push_back({rails.back(), earth_node, {5.0}, {0.5}, {0.2}});
  for (std::size_t k = 1; k < rails.size(); ++k)
    join(network, rails[draw.below(k)], rails[k], draw.between(1e-3, 0.1));
  for (int k = 0; k < shape.wires; ++k) {
    const NodeId to = draw.one_in(3) ? earth_node : rails[draw.below(rails.size())];
    add_wire(network, draw, rails[draw.below(rails.size())], to, shape.nonlinear);
  }
  const std::uint32_t nodes = network.circuit.node_count;
  for (int k = 0; k < shape.wires / 4; ++k)
    join(network, {static_cast<std::uint32_t>(draw.below(nodes))},
         {static_cast<std::uint32_t>(draw.below(nodes))}, draw.between(1e-3, 1e4));
  for (int k = 0; k < 30; ++k) loom.changes.push_back(drawn_change(draw, loom));
  for (std::uint32_t k = 1; k < nodes; ++k) join(network, {k}, earth_node, 1e10);
  for (int k = 0; k < shape.tests; ++k) {
    const MeterKind kinds[] = {MeterKind::volts, shape.live ? MeterKind::volts : MeterKind::ohms,
                               shape.live ? MeterKind::amperes : MeterKind::ohms};
    loom.tests.push_back({kinds[draw.below(3)], draw.node(loom.network),
                          draw.one_in(3) ? earth_node : draw.node(loom.network),
                          draw.below(network.branches.size())});
  }
  return loom;
}

Loom any_loom(bool nonlinear, int most_wires) {
  Shape shape;
  shape.seed = *rc::gen::arbitrary<std::uint64_t>();
  shape.wires = *rc::gen::inRange(1, most_wires);
  shape.live = *rc::gen::arbitrary<bool>();
  shape.nonlinear = nonlinear;
  shape.tests = *rc::gen::inRange(1, 20);
  return drawn_loom(shape);
}

// By test: the healthy reading, then that under each change.
using Readings = std::vector<std::vector<double>>;

Readings readings(const Loom& loom, std::span<const DictionaryTest> tests, const SweepKernel& kernel) {
  Readings result(tests.size());
  const auto count =
      fault_dictionary_by(kernel, loom.network, tests, loom.changes,
                          [&](std::size_t test, double healthy, std::span<const double> under) {
                            result[test] = {healthy};
                            result[test].insert(result[test].end(), under.begin(), under.end());
                          });
  RC_ASSERT(count.has_value());
  return result;
}

Readings readings(const Loom& loom) {
  return readings(loom, loom.tests, *sweep_kernels().back());
}

// To 1e-7 of the reading, or of a millivolt, a milliohm or a milliampere.
bool is_as(double reading, double reference) {
  if (std::isnan(reading) || std::isnan(reference)) return std::isnan(reading) && std::isnan(reference);
  return std::abs(reading - reference) <= 1e-7 * std::max(std::abs(reference), 1e-3);
}

void assert_as_in_full(const Loom& loom) {
  const Readings table = readings(loom);
  Solver solver;
  for (std::size_t c = 0; c <= loom.changes.size(); ++c) {
    const LoomNetwork network = c == 0 ? loom.network : changed(loom.network, loom.changes[c - 1]);
    for (std::size_t t = 0; t < loom.tests.size(); ++t) {
      const auto full = reading_by_full_solve(network, loom.tests[t], solver);
      if (is_as(table[t][c], full ? *full : std::nan(""))) continue;
      RC_LOG() << "test " << t << " change " << c << ": " << table[t][c] << "\n";
      RC_FAIL("differs from a full solve");
    }
  }
}

void expect(bool held) {
  EXPECT_TRUE(held);
}

TEST(FaultDictionaryProperty, AgreesWithAFullSolveOfTheChangedLoom) {
  expect(rc::check([] { assert_as_in_full(any_loom(false, 40)); }));
}

TEST(FaultDictionaryProperty, AgreesWithAFullSolveWithNonlinearElements) {
  expect(rc::check([] { assert_as_in_full(any_loom(true, 16)); }));
}

TEST(FaultDictionaryProperty, IgnoresAWireThatTouchesNothing) {
  expect(rc::check([] {
    Loom loom = any_loom(*rc::gen::arbitrary<bool>(), 30);
    const Readings alone = readings(loom);
    const NodeId one = loom.network.circuit.add_node();
    const NodeId other = loom.network.circuit.add_node();
    join(loom.network, one, other, 0.05);
    for (const NodeId end : {one, other}) join(loom.network, end, earth_node, 1e10);
    const Readings beside = readings(loom);
    for (std::size_t t = 0; t < alone.size(); ++t) {
      for (std::size_t c = 0; c < alone[t].size(); ++c) RC_ASSERT(is_as(beside[t][c], alone[t][c]));
    }
  }));
}

bool same_bits(const std::vector<double>& one, const std::vector<double>& other) {
  return std::equal(one.begin(), one.end(), other.begin(), other.end(),
                    [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); });
}

// A test's readings to the last bit, whichever tests are in its block, and on any instruction set.
TEST(FaultDictionaryProperty, IsTheSameInAnyBlockAndOnAnyInstructionSet) {
  expect(rc::check([] {
    const Loom loom = any_loom(*rc::gen::arbitrary<bool>(), 40);
    const Readings all = readings(loom);
    for (const SweepKernel* kernel : sweep_kernels()) {
      const Readings other = readings(loom, loom.tests, *kernel);
      for (std::size_t t = 0; t < all.size(); ++t) RC_ASSERT(same_bits(other[t], all[t]));
    }
    for (std::size_t t = 0; t < loom.tests.size(); ++t) {
      const Readings alone = readings(loom, {&loom.tests[t], 1}, *sweep_kernels().back());
      RC_ASSERT(same_bits(alone[0], all[t]));
    }
  }));
}

}  // namespace
}  // namespace loomgraft::readings_dictionary_property_test
