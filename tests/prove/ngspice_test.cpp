// Every planned test under every fault against ngspice, which solves the changed netlist with the meter in
// it. Many circuits go into one deck: they share nothing but the body. LOOMGRAFT_LONG=1 takes every pair;
// else every so manyth of each graft.
#include "tests/network/ngspice.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <tuple>

#include "loom/graft_json.h"
#include "network/netlist.h"
#include "prove/plan_internal.h"
#include "tests/network/random_loom.h"
#include "tests/rounds.h"

namespace loomgraft::prove_ngspice_test {
namespace {

using namespace loomgraft::prove;

// Relative, and the floors below which a reading is nothing.
constexpr double relative = 1e-6;
constexpr double floor_volts = 1e-7;
constexpr double floor_ohms = 1e-3;
constexpr double floor_amperes = 1e-7;

struct Pair {
  const Candidate* candidate = nullptr;
  std::string what;
  double reading = 0.0;
  LoomNetwork network;  // changed, with the meter, as solved
  NetworkSolution solution;
  std::uint32_t first_node = 0;  // in the deck
};

NodeId shifted(NodeId node, std::uint32_t by) {
  return node == earth_node ? node : NodeId{node.value + by};
}

// Circuits side by side.
void append(Circuit& deck, OperatingPoint& start, const Pair& pair) {
  const std::uint32_t by = deck.node_count - 1;
  const Circuit& one = pair.network.circuit;
  deck.node_count += one.node_count - 1;
  for (Resistor item : one.resistors) {
    item.a = shifted(item.a, by);
    item.b = shifted(item.b, by);
    deck.resistors.push_back(item);
  }
  for (LimitedSource item : one.sources) {
    item.plus = shifted(item.plus, by);
    item.minus = shifted(item.minus, by);
    deck.sources.push_back(item);
  }
  for (Diode item : one.diodes) {
    item.anode = shifted(item.anode, by);
    item.cathode = shifted(item.cathode, by);
    deck.diodes.push_back(item);
  }
  const OperatingPoint& point = pair.solution.point;
  start.nodes.insert(start.nodes.end(), point.nodes.begin() + 1, point.nodes.end());
}

std::vector<double> in_full(const Pair& pair) {
  std::vector<double> volts;
  for (const Volts& node : pair.solution.point.nodes) volts.push_back(node.si);
  return volts;
}

double reading_in(const Pair& pair, const std::vector<double>& volts) {
  const auto at = [&](NodeId node) { return volts[shifted(node, pair.first_node).value]; };
  const DictionaryTest& probe = pair.candidate->probe;
  if (probe.kind == MeterKind::amperes) {
    const NetworkBranch& branch = pair.network.branches[probe.clamp];
    return (at(branch.a) - at(branch.b)) / pair.network.circuit.resistors[branch.index].resistance.si;
  }
  const double across = at(probe.red) - at(probe.black);
  if (probe.kind == MeterKind::volts) return across;
  // The meter's own law (circuit/circuit.h): its source up to its limit, a slope beyond.
  const LimitedSource& source = pair.network.circuit.sources.back();
  const double free = (source.voltage.si - across) / source.resistance.si;
  const double limit = source.limit.si;
  if (free <= limit) return across / free;
  return across / (limit + limit_slope * (source.voltage.si - across - limit * source.resistance.si));
}

__extension__ typedef __float128 Wide;

// The same point by plain elimination in 128 bits, every element on the stretch of its law in which `near`
// has it. ngspice works in doubles and loses what spans more than they carry: milliohms beside gigaohms.
std::vector<double> solved_wide(const Circuit& circuit, const std::vector<double>& near) {
  const std::size_t n = circuit.node_count - 1;
  std::vector<std::vector<Wide>> rows(n, std::vector<Wide>(n + 1));
  const auto conduct = [&](NodeId a, NodeId b, Wide siemens, Wide amperes_from_a) {
    for (const auto& [one, other, sign] : {std::tuple(a, b, 1), std::tuple(b, a, -1)}) {
      if (one == earth_node) continue;
      rows[one.value - 1][one.value - 1] += siemens;
      if (other != earth_node) rows[one.value - 1][other.value - 1] -= siemens;
      rows[one.value - 1][n] -= sign * amperes_from_a;
    }
  };
  const auto across = [&](NodeId a, NodeId b) { return near[a.value] - near[b.value]; };
  for (const Resistor& item : circuit.resistors) {
    if (std::isfinite(item.resistance.si)) conduct(item.a, item.b, Wide(1) / Wide(item.resistance.si), 0);
  }
  for (const LimitedSource& item : circuit.sources) {
    const Wide siemens = Wide(1) / Wide(item.resistance.si);
    const double free = (item.voltage.si - across(item.plus, item.minus)) / item.resistance.si;
    if (std::abs(free) <= item.limit.si) {
      conduct(item.plus, item.minus, siemens, -siemens * Wide(item.voltage.si));
      continue;
    }
    const Wide limit = std::copysign(item.limit.si, free);
    const Wide corner = Wide(item.voltage.si) - limit * Wide(item.resistance.si);
    conduct(item.plus, item.minus, limit_slope, -(limit + Wide(limit_slope) * corner));
  }
  for (const Diode& item : circuit.diodes) {
    const Wide leak =
        std::isfinite(item.off_resistance.si) ? Wide(1) / Wide(item.off_resistance.si) : Wide(0);
    if (across(item.anode, item.cathode) < item.forward.si) {
      conduct(item.anode, item.cathode, leak, 0);
      continue;
    }
    const Wide siemens = Wide(1) / Wide(item.on_resistance.si);
    conduct(item.anode, item.cathode, siemens, (leak - siemens) * Wide(item.forward.si));
  }
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = k + 1; i < n; ++i) {
      if (rows[i][k] == 0) continue;
      const Wide factor = rows[i][k] / rows[k][k];
      for (std::size_t j = k; j <= n; ++j) rows[i][j] -= factor * rows[k][j];
    }
  }
  std::vector<double> volts(n + 1);
  std::vector<Wide> wide(n);
  for (std::size_t k = n; k-- > 0;) {
    Wide sum = rows[k][n];
    for (std::size_t j = k + 1; j < n; ++j) sum -= rows[k][j] * wide[j];
    wide[k] = sum / rows[k][k];
    volts[k + 1] = static_cast<double>(wide[k]);
  }
  return volts;
}

class Check {
 public:
  explicit Check(std::size_t every) : every_(every) {}

  void graft(const Graft& graft, bool whole) {
    ProveOptions options;
    options.faults.whole_loom = whole;
    const ProveReport report = prove_loom(graft, options).report;
    const ProveScope scope = prove_scope(frame_of(graft, LoomState::as_planned), report.faults);
    const std::vector<PlannedCondition> conditions = planned_conditions(scope);
    for (std::size_t number = 0; number < conditions.size(); ++number)
      condition(scope, report, conditions[number], number);
  }

  void finish() {
    flush();
    EXPECT_EQ(wrong_, 0u);
    // Cases in which ngspice itself is inexact: few, else it would be no reference.
    EXPECT_LE(checked_wide_, compared_ / 20);
    record();
  }
  void record() const {
    ::testing::Test::RecordProperty("compared", static_cast<int>(compared_));
    ::testing::Test::RecordProperty("checked_wide", static_cast<int>(checked_wide_));
  }
  std::size_t compared() const { return compared_; }

 private:
  void condition(const ProveScope& scope, const ProveReport& report, const PlannedCondition& planned,
                 std::size_t number) {
    const auto in_plan = [&](const Candidate& candidate) {
      return std::ranges::any_of(
          report.plan, [&](std::size_t test) { return report.tests[test].id == candidate.test.id; });
    };
    const auto bench = condition_bench(scope, planned.condition, report.faults);
    if (!bench) return;
    std::vector<Candidate> candidates =
        candidates_of(scope, number, planned, bench->nominal, bench->solution);
    std::erase_if(candidates, [&](const Candidate& candidate) { return !in_plan(candidate); });
    std::vector<DictionaryTest> probes;
    probes.reserve(candidates.size());
    for (const Candidate& candidate : candidates) probes.push_back(candidate.probe);
    std::vector<const Fault*> of_change(bench->changes.size());
    for (std::size_t fault = 0; fault < report.faults.size(); ++fault) {
      const ChangeRange& range = bench->of_fault[fault];
      for (std::size_t k = range.first; k <= range.last; ++k) of_change[k] = &report.faults[fault];
    }
    const auto count =
        fault_dictionary(bench->nominal, probes, bench->changes,
                         [&](std::size_t test, double, std::span<const double> readings) {
                           for (std::size_t k = 0; k < readings.size(); ++k) {
                             if (bench->changes[k].empty() || met_++ % every_ != 0) continue;
                             pair(*bench, candidates[test], *of_change[k], bench->changes[k], readings[k]);
                           }
                         });
    ASSERT_TRUE(count);
    flush();
  }

  void pair(const ConditionBench& bench, const Candidate& candidate, const Fault& fault,
            const NetworkChange& change, double reading) {
    Pair made{
        &candidate, candidate.test.id + " under " + fault.id, reading, changed(bench.nominal, change), {}, 0};
    if (candidate.probe.kind != MeterKind::amperes)
      add_meter(made.network, candidate.probe.red, candidate.probe.black, candidate.probe.kind);
    auto solution = solve(made.network);
    if (!solution || std::isnan(reading)) return;
    // A relay that swings has no point to agree on.
    if (std::ranges::count(solution->relays, RelayPosition::oscillating) > 0) return;
    made.solution = std::move(*solution);
    waiting_nodes_ += made.network.circuit.node_count;
    waiting_.push_back(std::move(made));
    constexpr std::uint32_t deck_nodes = 400;
    if (waiting_nodes_ > deck_nodes) flush();
  }

  void flush() {
    if (waiting_.empty()) return;
    Circuit deck;
    OperatingPoint start;
    start.nodes.resize(1);
    for (Pair& pair : waiting_) {
      pair.first_node = deck.node_count - 1;
      append(deck, start, pair);
    }
    const std::vector<double> volts = reference::ngspice_volts(netlist(deck, &start), deck.node_count);
    EXPECT_FALSE(volts.empty()) << "ngspice found no operating point";
    for (const Pair& pair : waiting_) {
      if (!volts.empty()) compare(pair, reading_in(pair, volts));
    }
    waiting_.clear();
    waiting_nodes_ = 0;
  }

  // By itself: in company ngspice ends its search when the circuit that is hardest to settle has settled.
  static std::vector<double> alone(const Pair& pair) {
    return reference::ngspice_volts(netlist(pair.network.circuit, &pair.solution.point),
                                    pair.network.circuit.node_count);
  }

  void compare(const Pair& pair, double expected) {
    ++compared_;
    if (agrees(pair, expected)) return;
    const std::vector<double> volts = alone(pair);
    const Pair by_itself{pair.candidate, {}, 0.0, pair.network, {}, 0};
    const double again = volts.empty() ? std::nan("") : reading_in(by_itself, volts);
    if (agrees(pair, again)) return;
    const double wide = reading_in(by_itself, solved_wide(pair.network.circuit, in_full(pair)));
    if (agrees(pair, wide)) {
      ++checked_wide_;
      return;
    }
    if (wrong_++ < 20)
      ADD_FAILURE() << pair.what << ": " << pair.reading << "; ngspice " << again << ", 128 bits " << wide;
  }

  static bool agrees(const Pair& pair, double expected) {
    const bool ohms = pair.candidate->quantity == MeterQuantity::ohms;
    // To the meter all of these are one reading.
    if (ohms && pair.reading > over_range_ohms && expected > over_range_ohms) return true;
    const double floor = ohms                                                 ? floor_ohms
                         : pair.candidate->quantity == MeterQuantity::amperes ? floor_amperes
                                                                              : floor_volts;
    const double off = std::abs(pair.reading - expected);
    return off <= std::max(floor, relative * std::abs(expected));
  }

  std::size_t every_;
  std::size_t met_ = 0;
  std::size_t compared_ = 0;
  std::size_t wrong_ = 0;
  std::size_t checked_wide_ = 0;
  std::uint32_t waiting_nodes_ = 0;
  std::vector<Pair> waiting_;
};

// Of so many pairs one is taken; the first of all is.
std::size_t every(std::size_t usual) {
  return std::getenv("LOOMGRAFT_LONG") != nullptr ? 1 : usual * 3 / samples::rounds(3U);
}

TEST(AgainstNgspice, PlannedTestsUnderFaultsOfTwentyLooms) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  Check check(every(499));
  for (std::uint64_t seed = 1; seed <= 20; ++seed)
    check.graft(samples::random_loom(seed, 3, seed % 3 == 0 ? 24.0 : 12.0).graft, true);
  check.finish();
  EXPECT_GT(check.compared(), samples::rounds(300U));
}

TEST(AgainstNgspice, PlannedTestsUnderFaultsOfTheDemo) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  const auto read = graft_from_json(text.str(), "graft.json");
  ASSERT_TRUE(read.graft);
  Check check(every(1087));
  check.graft(*read.graft, false);
  check.finish();
  EXPECT_GT(check.compared(), samples::rounds(100U));
}

}  // namespace
}  // namespace loomgraft::prove_ngspice_test
