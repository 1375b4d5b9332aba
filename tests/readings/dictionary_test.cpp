// The fault dictionary against the same readings by a full solve, one by one.
#include "readings/dictionary.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "readings/dictionary_internal.h"
#include "readings/full_solve_internal.h"
#include "tests/network/random_loom.h"
#include "tests/readings/random_network.h"
#include "tests/rounds.h"

namespace loomgraft::readings_dictionary_test {
namespace {

using namespace loomgraft::readings;

using namespace samples;

constexpr Ohms open_circuit{std::numeric_limits<double>::infinity()};

struct Case {
  LoomNetwork network;
  std::vector<DictionaryTest> tests;
  std::vector<NetworkChange> changes;
};

NetworkChange drawn_change(Draw& draw, const LoomNetwork& network) {
  NetworkChange change;
  const auto branch = [&] { return draw.below(network.branches.size()); };
  const auto turn = draw.below(10);
  if (turn < 4) {
    change.branches.push_back({branch(), draw.one_in(3) ? Ohms{draw.between(1e-3, 1e6)} : open_circuit});
  } else if (turn < 7) {
    change.bridges.push_back({draw.node(network), draw.node(network), {draw.between(1e-3, 100.0)}});
  } else if (turn == 7) {  // two wires swapped, approximately
    change.branches = {{branch(), open_circuit}, {branch(), open_circuit}};
    change.bridges.push_back({draw.node(network), draw.node(network), {0.01}});
    change.bridges.push_back({draw.node(network), draw.node(network), {0.01}});
  } else if (turn == 8) {
    const std::size_t k = branch();
    if (network.branches[k].list != ElementList::resistor) change.sources.push_back({k, draw.one_in(2)});
  } else if (!network.relays.empty()) {
    change.relays_opposite.push_back(draw.below(network.relays.size()));
  }
  return change;
}

// `dead`: battery off and the module's plug open, as a loom is measured in ohms.
Case drawn_case(std::uint64_t seed, bool dead) {
  Draw draw{std::mt19937_64(seed)};
  DrawnLoom loom = random_loom(seed, 2 + static_cast<int>(seed % 12), 12.0);
  loom.condition.battery_off = dead;
  if (dead) loom.condition.key = KeyPosition::off;
  if (dead && draw.one_in(2)) loom.condition.unplugged = {"C1"};
  Case drawn{network_of(loom.graft, loom.condition, {.crimps = true}), {}, {}};
  for (int k = 0; k < 20; ++k) {
    const MeterKind kinds[] = {MeterKind::volts, dead ? MeterKind::ohms : MeterKind::volts,
                               dead ? MeterKind::ohms : MeterKind::amperes};
    drawn.tests.push_back({kinds[draw.below(3)], draw.node(drawn.network),
                           draw.one_in(3) ? earth_node : draw.node(drawn.network),
                           draw.below(drawn.network.branches.size())});
  }
  for (int k = 0; k < 40; ++k) drawn.changes.push_back(drawn_change(draw, drawn.network));
  return drawn;
}

struct Table {
  std::map<std::size_t, double> healthy;
  std::map<std::size_t, std::vector<double>> under;
  DictionaryCount count;
};

Table dictionary(const Case& drawn, const SweepKernel& kernel) {
  Table table;
  const auto count =
      fault_dictionary_by(kernel, drawn.network, drawn.tests, drawn.changes,
                          [&](std::size_t test, double healthy, std::span<const double> under) {
                            table.healthy[test] = healthy;
                            table.under[test].assign(under.begin(), under.end());
                          });
  EXPECT_TRUE(count);
  if (count) table.count = *count;
  return table;
}

// In units of the error allowed: 1e-7 of the reading, or of a millivolt, a milliohm or a milliampere.
double error(double reading, double reference) {
  if (std::isnan(reading) && std::isnan(reference)) return 0.0;
  const double size = std::abs(reading - reference) / (1e-7 * std::max(std::abs(reference), 1e-3));
  return std::isnan(size) ? std::numeric_limits<double>::infinity() : size;
}

const SweepKernel& best_kernel() {
  return *sweep_kernels().back();
}

void expect_as_in_full(const Case& drawn, std::uint64_t seed, DictionaryCount& count) {
  const Table table = dictionary(drawn, best_kernel());
  ASSERT_EQ(table.healthy.size(), drawn.tests.size());
  count.by_update += table.count.by_update;
  count.by_full_solve += table.count.by_full_solve;
  Solver solver;
  for (std::size_t t = 0; t < drawn.tests.size(); ++t) {
    const auto healthy = reading_by_full_solve(drawn.network, drawn.tests[t], solver);
    ASSERT_TRUE(healthy);
    EXPECT_LT(error(table.healthy.at(t), *healthy), 1.0)
        << "seed " << seed << " test " << t << ": " << table.healthy.at(t) << " for " << *healthy;
    for (std::size_t c = 0; c < drawn.changes.size(); ++c) {
      const auto full =
          reading_by_full_solve(changed(drawn.network, drawn.changes[c]), drawn.tests[t], solver);
      const double expected = full ? *full : std::nan("");
      EXPECT_LT(error(table.under.at(t)[c], expected), 1.0)
          << "seed " << seed << " test " << t << " kind " << static_cast<int>(drawn.tests[t].kind)
          << " change " << c << ": " << table.under.at(t)[c] << " for " << expected;
    }
  }
}

TEST(FaultDictionary, AgreesWithFullSolves) {
  DictionaryCount count;
  for (std::uint64_t seed = 0; seed < samples::rounds(40U) && !HasFailure(); ++seed)
    expect_as_in_full(drawn_case(seed, false), seed, count);
  EXPECT_GT(count.by_update, count.by_full_solve);
  RecordProperty("in_full", static_cast<int>(count.by_full_solve));
}

TEST(FaultDictionary, AgreesWithFullSolvesOfDeadLooms) {
  DictionaryCount count;
  for (std::uint64_t seed = 0; seed < samples::rounds(40U) && !HasFailure(); ++seed)
    expect_as_in_full(drawn_case(seed, true), seed, count);
  EXPECT_GT(count.by_update, count.by_full_solve);
  RecordProperty("in_full", static_cast<int>(count.by_full_solve));
}

}  // namespace
}  // namespace loomgraft::readings_dictionary_test
