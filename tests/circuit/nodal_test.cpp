// The linear kernel against a full solve in 128 bits.
#include "circuit/nodal.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace loomgraft::circuit_nodal_test {
namespace {

using namespace loomgraft::circuit;

__extension__ typedef __float128 Wide;  // 113 bits of mantissa

// Plain elimination with the largest pivot of the column, of the full nodal matrix.
std::vector<double> wide_volts(const std::vector<NodalBranch>& branches,
                               const std::vector<double>& injected) {
  const std::size_t n = injected.size() - 1;
  std::vector<std::vector<Wide>> m(n, std::vector<Wide>(n + 1, Wide{0}));
  for (std::size_t k = 0; k < n; ++k) m[k][n] = injected[k + 1];
  const auto add = [&](std::uint32_t node, std::uint32_t other, const NodalBranch& branch, Wide emf) {
    if (node == 0) return;
    m[node - 1][node - 1] += branch.conductance;
    if (other != 0) m[node - 1][other - 1] -= branch.conductance;
    m[node - 1][n] += branch.conductance * emf;
  };
  for (const NodalBranch& branch : branches) {
    if (branch.a == branch.b) continue;
    add(branch.a, branch.b, branch, branch.emf);
    add(branch.b, branch.a, branch, -Wide{branch.emf});
  }
  const auto size = [](Wide x) { return x < 0 ? -x : x; };
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t r = k + 1; r < n; ++r) {
      if (size(m[r][k]) > size(m[best][k])) best = r;
    }
    std::swap(m[k], m[best]);
    for (std::size_t r = k + 1; r < n; ++r) {
      if (m[r][k] == 0) continue;
      const Wide factor = m[r][k] / m[k][k];
      for (std::size_t c = k; c <= n; ++c) m[r][c] -= factor * m[k][c];
    }
  }
  std::vector<double> volts(n + 1, 0.0);
  for (std::size_t k = n; k-- > 0;) {
    Wide sum = m[k][n];
    for (std::size_t c = k + 1; c < n; ++c) sum -= m[k][c] * m[c][n];
    m[k][n] = sum / m[k][k];
    volts[k + 1] = static_cast<double>(m[k][n]);
  }
  return volts;
}

struct Linear {
  std::vector<NodalBranch> branches;
  std::vector<double> injected;
};

// Joints from 10 microhm, some opened; a battery that may float; every node leaks over 10 gigohm.
Linear random_loom(std::uint64_t seed, std::uint32_t nodes, std::uint32_t chords) {
  std::mt19937_64 random(seed);
  const auto draw = [&](double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  };
  Linear linear;
  linear.injected.assign(nodes + 1, 0.0);
  const bool floats = random() % 2 == 0;
  linear.branches.push_back({1, 2, 1.0 / 0.005, 12.6});
  linear.branches.push_back({2, 0, floats ? 0.0 : 2000.0});
  for (std::uint32_t k = 3; k <= nodes; ++k) {
    const bool opened = random() % 6 == 0;
    const auto to = static_cast<std::uint32_t>(1 + random() % (k - 1));
    linear.branches.push_back({k, to, opened ? 0.0 : 1.0 / draw(1e-5, 1.0)});
  }
  for (std::uint32_t k = 0; k < chords; ++k) {
    const auto a = static_cast<std::uint32_t>(1 + random() % nodes);
    const auto b = static_cast<std::uint32_t>(1 + random() % nodes);
    linear.branches.push_back({a, b, 1.0 / draw(0.5, 1e8), random() % 5 == 0 ? draw(0.1, 24.0) : 0.0});
  }
  for (std::uint32_t k = 1; k <= nodes; ++k) linear.branches.push_back({k, 0, 1e-10});
  return linear;
}

double largest_error(const std::vector<double>& volts, const std::vector<double>& exact) {
  double worst = 0.0;
  for (std::size_t k = 1; k < volts.size(); ++k) {
    worst = std::max(worst, std::abs(volts[k] - exact[k]) / std::max(1e-3, std::abs(exact[k])));
  }
  return worst;
}

TEST(Nodal, KeepsEveryDigitOfOpenedJointsAndFloatingBatteries) {
  NodalWork work;
  std::vector<double> volts;
  double worst = 0.0;
  for (std::uint64_t seed = 0; seed < 60; ++seed) {
    const auto nodes = static_cast<std::uint32_t>(seed % 2 == 0 ? 3 + seed : 61 + 2 * seed);
    const Linear linear = random_loom(seed, nodes, seed % 3 == 0 ? nodes / 8 : nodes);
    ASSERT_TRUE(solve_nodal(linear.branches, linear.injected, work, volts)) << "seed " << seed;
    const double error = largest_error(volts, wide_volts(linear.branches, linear.injected));
    // A few hundred roundings of 1e-16 of the battery's volts, against a floor of a millivolt.
    EXPECT_LT(error, 1e-10) << "seed " << seed;
    worst = std::max(worst, error);
  }
  std::printf("largest error %.1e, relative with a floor of 1 mV\n", worst);
}

TEST(Nodal, SolvesInjectedCurrents) {
  NodalWork work;
  std::vector<double> volts;
  for (std::uint64_t seed = 100; seed < 120; ++seed) {
    Linear linear = random_loom(seed, 150, 150);
    linear.branches[1].conductance = 2000.0;
    std::mt19937_64 random(seed);
    for (double& current : linear.injected) current = static_cast<double>(random() % 1000) * 1e-3;
    ASSERT_TRUE(solve_nodal(linear.branches, linear.injected, work, volts));
    EXPECT_LT(largest_error(volts, wide_volts(linear.branches, linear.injected)), 1e-10) << "seed " << seed;
  }
}

// A core in which each node is joined to each goes through the triangle behind the rows.
TEST(Nodal, SolvesAFullCore) {
  std::mt19937_64 random(7);
  Linear linear = random_loom(7, 120, 0);
  for (std::uint32_t a = 20; a < 100; ++a) {
    for (std::uint32_t b = 20; b < a; ++b) {
      linear.branches.push_back({a, b, static_cast<double>(1 + random() % 1000) * 1e-3, 0.0});
    }
  }
  NodalWork work;
  std::vector<double> volts;
  ASSERT_TRUE(solve_nodal(linear.branches, linear.injected, work, volts));
  EXPECT_GE(work.pattern.tail(), 60u);
  EXPECT_LT(largest_error(volts, wide_volts(linear.branches, linear.injected)), 1e-12);
}

TEST(Nodal, IsIndependentOfEarlierSolves) {
  const Linear one = random_loom(1, 200, 100);
  const Linear other = random_loom(2, 300, 100);
  NodalWork fresh;
  NodalWork used;
  std::vector<double> first;
  std::vector<double> second;
  ASSERT_TRUE(solve_nodal(one.branches, one.injected, fresh, first));
  ASSERT_TRUE(solve_nodal(other.branches, other.injected, used, second));
  ASSERT_TRUE(solve_nodal(one.branches, one.injected, used, second));
  EXPECT_EQ(first, second);
  Linear changed = one;
  changed.branches[5].conductance = 0.25;
  ASSERT_TRUE(solve_nodal(changed.branches, changed.injected, used, second));
  NodalWork third;
  ASSERT_TRUE(solve_nodal(changed.branches, changed.injected, third, first));
  EXPECT_EQ(first, second);
}

TEST(Nodal, RefusesANodeWithoutAPath) {
  for (const std::uint32_t nodes : {4u, 100u}) {
    Linear linear = random_loom(3, nodes, 0);
    std::erase_if(linear.branches, [](const NodalBranch& b) { return b.a == 3 || b.b == 3; });
    linear.branches.push_back({3, 1, 0.0});
    NodalWork work;
    std::vector<double> volts;
    EXPECT_FALSE(solve_nodal(linear.branches, linear.injected, work, volts)) << nodes << " nodes";
  }
}

}  // namespace
}  // namespace loomgraft::circuit_nodal_test
