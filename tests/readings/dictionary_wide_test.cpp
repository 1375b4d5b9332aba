// The fault dictionary against full solves in 128 bits, over twelve decades of conductance.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings_dictionary_wide_test {
namespace {

using namespace loomgraft::readings;

__extension__ typedef __float128 Wide;  // 113 bits of mantissa

constexpr double open_circuit = std::numeric_limits<double>::infinity();

Wide size_of(Wide x) {
  return x < 0 ? -x : x;
}

// Nodes at volts 1.., plain elimination with the largest pivot; a source's amperes at each node on the right,
// one ampere through the probes beside it.
struct WideSolution {
  std::vector<Wide> volts;
  std::vector<Wide> ampere;
};

WideSolution solve_wide(const Circuit& circuit, NodeId red, NodeId black) {
  const std::size_t n = circuit.node_count - 1;
  std::vector<std::vector<Wide>> m(n, std::vector<Wide>(n + 2, Wide{0}));
  const auto join = [&](NodeId a, NodeId b, Wide g, Wide emf) {
    for (const auto& [here, there, sign] : {std::tuple(a, b, 1), std::tuple(b, a, -1)}) {
      if (here.value == 0) continue;
      m[here.value - 1][here.value - 1] += g;
      if (there.value != 0) m[here.value - 1][there.value - 1] -= g;
      m[here.value - 1][n] += sign * g * emf;
    }
  };
  for (const Resistor& item : circuit.resistors) {
    if (!std::isinf(item.resistance.si)) join(item.a, item.b, Wide{1} / Wide{item.resistance.si}, Wide{0});
  }
  for (const LimitedSource& item : circuit.sources)
    join(item.plus, item.minus, Wide{1} / Wide{item.resistance.si}, Wide{item.voltage.si});
  if (red.value != 0) m[red.value - 1][n + 1] += 1;
  if (black.value != 0) m[black.value - 1][n + 1] -= 1;
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t r = k + 1; r < n; ++r) {
      if (size_of(m[r][k]) > size_of(m[best][k])) best = r;
    }
    std::swap(m[k], m[best]);
    for (std::size_t r = k + 1; r < n; ++r) {
      if (m[r][k] == 0) continue;
      const Wide factor = m[r][k] / m[k][k];
      for (std::size_t c = k; c < n + 2; ++c) m[r][c] -= factor * m[k][c];
    }
  }
  WideSolution solution{std::vector<Wide>(n + 1, Wide{0}), std::vector<Wide>(n + 1, Wide{0})};
  for (std::size_t k = n; k-- > 0;) {
    Wide sums[2] = {m[k][n], m[k][n + 1]};
    for (std::size_t c = k + 1; c < n; ++c) {
      sums[0] -= m[k][c] * solution.volts[c + 1];
      sums[1] -= m[k][c] * solution.ampere[c + 1];
    }
    solution.volts[k + 1] = sums[0] / m[k][k];
    solution.ampere[k + 1] = sums[1] / m[k][k];
  }
  return solution;
}

struct Case {
  LoomNetwork network;
  std::vector<DictionaryTest> tests;
  std::vector<NetworkChange> changes;
};

// Joints from 10 microhm and loads to 10 Mohm, with or without a battery; some of it floats.
struct Size {
  std::uint32_t nodes = 24;
  int tests = 16;
  bool strings = false;  // mostly one after the other, so that tests and changes are in different subtrees
};

Case drawn_case(std::uint64_t seed, bool live, double leak, const Size& size = {}) {
  std::mt19937_64 random(seed);
  const auto draw = [&](double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  };
  Case drawn;
  Circuit& circuit = drawn.network.circuit;
  const auto join = [&](std::uint32_t a, std::uint32_t b, double ohms) {
    drawn.network.branches.push_back(
        {BranchKind::wire, {}, {}, {a}, {b}, ElementList::resistor, circuit.resistors.size(), {}});
    circuit.resistors.push_back({{a}, {b}, {ohms}});
  };
  const std::uint32_t nodes = size.nodes;
  for (std::uint32_t k = 0; k < nodes; ++k) circuit.add_node();
  if (live) circuit.sources.push_back({{1}, {2}, {12.6}, {0.005}, {std::numeric_limits<double>::infinity()}});
  for (std::uint32_t k = 2; k <= nodes; ++k) {
    if (random() % 8 == 0) continue;  // an island
    const bool next = size.strings && random() % 5 != 0;
    join(k, next ? k - 1 : static_cast<std::uint32_t>(random() % k), draw(1e-5, 1.0));
  }
  for (std::uint32_t k = 0; k < nodes / 3; ++k)
    join(static_cast<std::uint32_t>(1 + random() % nodes), static_cast<std::uint32_t>(random() % nodes),
         draw(0.5, 1e7));
  for (std::uint32_t k = 1; k <= nodes; ++k) join(k, 0, leak);
  const auto node = [&] { return NodeId{static_cast<std::uint32_t>(random() % (nodes + 1))}; };
  for (int k = 0; k < size.tests; ++k)
    drawn.tests.push_back({live ? MeterKind::volts : MeterKind::ohms, node(), node(), 0});
  for (std::size_t k = 0; k < drawn.network.branches.size(); ++k) {
    for (const double ohms : {open_circuit, 1.0, 1e6}) {
      // A node without its leak would have no volts at all.
      if (ohms == open_circuit && k + nodes >= drawn.network.branches.size()) continue;
      drawn.changes.push_back({{{k, {ohms}}}, {}, {}, {}});
    }
  }
  for (int k = 0; k < 24; ++k) drawn.changes.push_back({{}, {{node(), node(), {draw(1e-3, 1e3)}}}, {}, {}});
  return drawn;
}

// In units of 1e-7 of the reading, or of a millivolt or a milliohm.
double worst_error(const Case& drawn, const SweepKernel& kernel) {
  double worst = 0.0;
  const Wide per_meter = Wide{1e-7};
  const auto count = fault_dictionary_by(
      kernel, drawn.network, drawn.tests, drawn.changes,
      [&](std::size_t test, double, std::span<const double> under) {
        const auto [kind, red, black, clamp] = drawn.tests[test];
        for (std::size_t c = 0; c < under.size(); ++c) {
          const WideSolution wide = solve_wide(changed(drawn.network, drawn.changes[c]).circuit, red, black);
          const Wide ohms = wide.ampere[red.value] - wide.ampere[black.value];
          const Wide volts = wide.volts[red.value] - wide.volts[black.value];
          const Wide exact = kind == MeterKind::ohms ? ohms : volts / (1 + per_meter * ohms);
          const auto error =
              static_cast<double>(size_of(Wide{under[c]} - exact) / std::max(size_of(exact), Wide{1e-3}));
          worst = std::isnan(error) ? std::numeric_limits<double>::infinity() : std::max(worst, error / 1e-7);
        }
      });
  EXPECT_TRUE(count);
  return worst;
}

const SweepKernel& best_kernel() {
  return *sweep_kernels().back();
}

TEST(FaultDictionary, KeepsItsDigitsInVolts) {
  for (const std::uint64_t seed : {0U, 6U, 11U, 55U}) {
    for (const double leak : {1e10, 1e13})
      EXPECT_LT(worst_error(drawn_case(seed, true, leak), best_kernel()), 1.0) << seed << " leak " << leak;
  }
}

TEST(FaultDictionary, KeepsItsDigitsInOhms) {
  // Among them islands that a change cuts in two, where the update's figures are below their own rounding error.
  for (const std::uint64_t seed : {0U, 11U, 17U, 44U, 50U}) {
    for (const double leak : {1e10, 1e13})
      EXPECT_LT(worst_error(drawn_case(seed, false, leak), best_kernel()), 1.0) << seed << " leak " << leak;
  }
}

TEST(FaultDictionary, KeepsItsDigitsFarFromTheChange) {
  const Size strings{48, 3, true};
  for (const bool live : {false, true}) {
    for (const std::uint64_t seed : {1U, 35U})
      EXPECT_LT(worst_error(drawn_case(seed, live, 1e10, strings), best_kernel()), 1.0) << live << seed;
  }
}

// The bits are the same on all instruction sets, so the verdicts are too.
TEST(FaultDictionary, IsTheSameOnEveryInstructionSet) {
  for (const bool live : {false, true}) {
    const Case drawn = drawn_case(7, live, 1e10);
    std::vector<std::vector<double>> first;
    for (const SweepKernel* kernel : sweep_kernels()) {
      std::vector<std::vector<double>> rows(drawn.tests.size());
      const auto count =
          fault_dictionary_by(*kernel, drawn.network, drawn.tests, drawn.changes,
                              [&](std::size_t test, double healthy, std::span<const double> under) {
                                rows[test].assign(under.begin(), under.end());
                                rows[test].push_back(healthy);
                              });
      ASSERT_TRUE(count);
      if (first.empty()) first = rows;
      EXPECT_EQ(rows, first) << kernel->name;
    }
  }
}

}  // namespace
}  // namespace loomgraft::readings_dictionary_wide_test
