// Whole looms drawn at random: against ngspice, against the laws of circuits, against common sense.
#include "tests/network/random_loom.h"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>

#include "network/loom_network.h"
#include "network/netlist.h"
#include "tests/network/ngspice.h"
#include "tests/rounds.h"

namespace loomgraft::network_random_loom_test {
namespace {

using namespace samples;

constexpr Corner corners[] = {Corner::nominal, Corner::weakest, Corner::strongest};

struct Drawn {
  LoomNetwork network;
  NetworkSolution solution;
};

Drawn drawn(std::uint64_t seed, int circuits) {
  const DrawnLoom loom = random_loom(seed, circuits, seed % 2 == 0 ? 12.0 : 24.0);
  Drawn all{network_of(loom.graft, loom.condition, {LoomState::as_planned, corners[seed % 3]}), {}};
  auto solution = solve(all.network);
  EXPECT_TRUE(solution) << "seed " << seed << (solution ? "" : ": " + solution.error().message);
  if (solution) all.solution = std::move(*solution);
  return all;
}

// The currents of resistors and sources too, which the deck itself does not print.
std::string with_currents(const LoomNetwork& network, std::string deck) {
  std::string prints;
  for (std::size_t k = 0; k < network.circuit.resistors.size(); ++k)
    prints += fmt::format("print @r{}[i]\n", k);
  return deck.insert(deck.rfind("quit\n"), prints);
}

std::map<std::string, double> printed_values(const std::string& printed) {
  std::map<std::string, double> values;
  for (std::size_t at = 0; at < printed.size();) {
    const std::size_t end = std::min(printed.find('\n', at), printed.size());
    const std::string line = printed.substr(at, end - at);
    at = end + 1;
    const std::size_t equals = line.find(" = ");
    if (equals != std::string::npos && (line.starts_with("v(n") || line.starts_with("@r")))
      values[line.substr(0, equals)] = std::strtod(line.c_str() + equals + 3, nullptr);
  }
  return values;
}

struct Comparison {
  double volts = 0.0;    // largest difference, in tolerances
  double amperes = 0.0;  // the same
  std::size_t nodes = 0;
  std::size_t currents = 0;
};

// 1e-6 of the value, or a microvolt or a microampere.
double in_tolerances(double ours, double theirs) {
  return std::abs(ours - theirs) / std::max(1e-6, 1e-6 * std::abs(theirs));
}

Comparison compare(const Drawn& all, const std::map<std::string, double>& values) {
  Comparison worst;
  for (std::size_t k = 1; k < all.network.nodes.size(); ++k) {
    const auto found = values.find(fmt::format("v(n{})", k));
    if (found == values.end()) continue;
    ++worst.nodes;
    worst.volts = std::max(worst.volts, in_tolerances(all.solution.point.nodes[k].si, found->second));
  }
  for (std::size_t k = 0; k < all.network.circuit.resistors.size(); ++k) {
    const auto found = values.find(fmt::format("@r{}[i]", k));
    if (found == values.end()) continue;
    ++worst.currents;
    worst.amperes = std::max(worst.amperes, in_tolerances(all.solution.point.resistors[k].si, found->second));
  }
  return worst;
}

TEST(RandomLoom, AgreesWithNgspice) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  std::size_t most_nodes = 0;
  int from_nothing = 0;
  std::ptrdiff_t pulled = 0;
  Comparison worst;
  for (std::uint64_t seed = 0; seed < samples::rounds(300U); ++seed) {
    const Drawn all = drawn(seed, seed % 20 == 0 ? 50 : 2 + static_cast<int>(seed % 9));
    const std::size_t nodes = all.network.nodes.size() - 1;
    most_nodes = std::max(most_nodes, nodes);
    pulled += std::ranges::count(all.solution.relays, RelayPosition::pulled_in);
    auto values = printed_values(reference::ngspice_output(with_currents(all.network, netlist(all.network))));
    Comparison one = compare(all, values);
    if (one.nodes == nodes && one.volts <= 1.0) {
      ++from_nothing;
    } else {
      // Its Newton method swings between the pieces; started at the answer it must agree that this is one.
      const std::string deck = netlist(all.network, &all.solution.point);
      one = compare(all, printed_values(reference::ngspice_output(with_currents(all.network, deck))));
    }
    ASSERT_EQ(one.nodes, nodes) << "seed " << seed;
    EXPECT_EQ(one.currents, all.network.circuit.resistors.size()) << "seed " << seed;
    EXPECT_LE(one.volts, 1.0) << "seed " << seed;
    EXPECT_LE(one.amperes, 1.0) << "seed " << seed;
    worst.volts = std::max(worst.volts, one.volts);
    worst.amperes = std::max(worst.amperes, one.amperes);
  }
  EXPECT_GE(from_nothing, samples::rounds(150));
  EXPECT_GE(most_nodes, 400u);
  EXPECT_GE(pulled, samples::rounds(300)) << "relays and modules in work";
  std::printf(
      "looms of up to %zu nodes, %d without a start; worst %.3f (volts) and %.3f (amperes) of "
      "the tolerance\n",
      most_nodes, from_nothing, worst.volts, worst.amperes);
}

TEST(RandomLoom, PowerBalances) {
  EXPECT_TRUE(rc::check("sources give what everything else takes", [](std::uint64_t seed) {
    const Drawn all = drawn(seed % 100000, 1 + static_cast<int>(seed % 60));
    double sum = 0.0;
    double size = 1e-12;
    for (std::size_t k = 0; k < all.network.branches.size(); ++k) {
      const double power = branch_power(all.network, all.solution, k).si;
      sum += power;
      size = std::max(size, std::abs(power));
    }
    // Where next to nothing flows, the last digit of the volts across the thickest joint is all there is.
    double floor = 0.0;
    for (const Resistor& item : all.network.circuit.resistors) {
      const double volts = all.solution.point.nodes[item.a.value].si;
      floor += std::numeric_limits<double>::epsilon() * volts * volts / item.resistance.si;
    }
    RC_ASSERT(std::abs(sum) <= std::max(1e-9 * size, floor));
  }));
}

// Volts across a fixed resistance of the loom: nothing that a wire in parallel or a thicker wire can lower,
// where nothing in the loom limits or switches.
struct FixedLoom {
  Graft graft;
  std::vector<std::size_t> series;  // wires on the way to and from the load
};

FixedLoom fixed_loom(std::uint64_t seed) {
  std::mt19937_64 random(seed);
  FixedLoom loom;
  loom.graft = heater_loom();
  constexpr double sizes[] = {0.35, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0};
  for (const std::size_t k : {0u, 1u, 2u}) {
    loom.graft.wires[k].area = square_millimetres(sizes[random() % 6]);
    loom.graft.wires[k].length = Metres{0.5 + static_cast<double>(random() % 100) * 0.1};
    loom.series.push_back(k);
  }
  return loom;
}

double load_volts(const Graft& graft) {
  LoomNetwork network = network_of(graft, {}, {LoomState::as_found, Corner::weakest});
  const auto solution = solve(network);
  if (!solution) return std::nan("");
  const auto at = [&](const char* terminal) {
    return solution->point.nodes[node_at(network, {"H1", terminal})->value].si;
  };
  return at("1") - at("2");
}

TEST(RandomLoom, MoreCopperNeverLowersALoadsVolts) {
  EXPECT_TRUE(rc::check("a parallel wire or a larger size helps", [](std::uint64_t seed) {
    const FixedLoom loom = fixed_loom(seed);
    const double before = load_volts(loom.graft);
    const std::size_t chosen = loom.series[seed % 3];
    Graft parallel = loom.graft;
    parallel.wires.push_back(parallel.wires[chosen]);
    parallel.wires.back().id = "beside";
    RC_ASSERT(load_volts(parallel) > before);
    Graft thicker = loom.graft;
    thicker.wires[chosen].area = *thicker.wires[chosen].area * 1.6;
    RC_ASSERT(load_volts(thicker) > before);
  }));
}

TEST(RandomLoom, SameDocumentSameBits) {
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    const Drawn one = drawn(seed, 30);
    const Drawn other = drawn(seed, 30);
    EXPECT_EQ(one.solution.point.nodes, other.solution.point.nodes);
    EXPECT_EQ(netlist(one.network), netlist(other.network));
  }
}

// Whatever a condition asks of whatever loom: numbers or a Problem, never anything else.
TEST(RandomLoom, AnswersEveryCondition) {
  EXPECT_TRUE(rc::check("finite volts", [](std::uint64_t seed) {
    DrawnLoom loom = random_loom(seed % 100000, 1 + static_cast<int>(seed % 20), 12.0);
    std::mt19937_64 random(seed);
    loom.condition.battery_off = random() % 4 == 0;
    if (random() % 4 == 0) loom.condition.unplugged = {"C1"};
    for (const Device& device : loom.graft.devices) {
      if (random() % 10 == 0) loom.condition.removed.push_back(device.id);
      if (random() % 5 == 0) loom.condition.worked.push_back(device.id);
    }
    for (Wire& wire : loom.graft.wires) {
      if (random() % 12 == 0) wire.to = {};
      if (random() % 20 == 0) wire.from.cavity = "";
      if (random() % 30 == 0) wire.length = Metres{0.0};
    }
    LoomNetwork network = network_of(loom.graft, loom.condition);
    const auto solution = solve(network);
    RC_ASSERT(solution.has_value());
    for (const Volts volts : solution->point.nodes) RC_ASSERT(std::isfinite(volts.si));
  }));
}

}  // namespace
}  // namespace loomgraft::network_random_loom_test
