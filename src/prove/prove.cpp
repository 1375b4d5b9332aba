#include "prove/prove.h"

#include <algorithm>
#include <array>
#include <set>

#include "prove/plan_internal.h"

namespace loomgraft {
namespace {

constexpr std::array kind_names{"continuity", "isolation",   "resistance", "diode",
                                "volts",      "loaded_drop", "current",    "fuse_drop"};

// Everything measured, before the plan is made.
struct Measured {
  std::vector<MeasuredTest> tests;
  std::vector<std::optional<StateBench>> benches;
  std::vector<NearMiss> misses;
};

Problem not_solved(const ProveState& state, const Problem& why) {
  return {Severity::warning,
          "state-not-solved",
          {},
          "State " + state.id + " is left out: " + why.message,
          why.remedy};
}

void add_assumptions(ProveReport& report, const LoomNetwork& network,
                     std::set<std::pair<std::string, std::string>>& met) {
  for (const Assumption& one : network.assumptions) {
    if (met.emplace(one.subject, one.quantity).second) report.assumptions.push_back(one);
  }
}

// Readings under faults that are kept: 16 bytes each, half a gigabyte.
constexpr std::size_t most_cells = 32u << 20;

// Of more tests than there is room for, those that no other of the state replaces.
void keep_best(std::vector<MeasuredTest>& tests, std::size_t room) {
  if (tests.size() <= room) return;
  std::vector<CoverTest> list;
  for (const MeasuredTest& test : tests) {
    list.push_back({test.candidate.test.minutes, 0, {}});
    for (const std::size_t fault : test.candidate.test.exposes)
      list.back().exposes.push_back(static_cast<std::uint32_t>(fault));
  }
  const std::vector<bool> kept = undominated(list, tests.front().under.size());
  std::size_t place = 0;
  std::erase_if(tests, [&](const MeasuredTest&) { return !kept[place++]; });
}

Measured measure(const ProveScope& scope, const MeterSheet& meter, const std::vector<PlannedState>& states,
                 ProveReport& report) {
  Measured all;
  all.misses.resize(report.faults.size());
  std::set<std::pair<std::string, std::string>> assumed;
  for (std::size_t number = 0; number < states.size(); ++number) {
    const PlannedState& planned = states[number];
    all.benches.emplace_back();
    auto bench = state_bench(scope, planned.state, report.faults);
    if (!bench) {
      report.problems.push_back(not_solved(planned.state, bench.error()));
      continue;
    }
    if (number == 0) {
      for (const Problem& problem : bench->nominal.problems) report.problems.push_back(problem);
    }
    add_assumptions(report, bench->nominal, assumed);
    auto tests = measured(meter, *bench, report.faults,
                          candidates_of(scope, number, planned, bench->nominal, bench->solution), all.misses);
    if (!tests) {
      report.problems.push_back(not_solved(planned.state, tests.error()));
      continue;
    }
    keep_best(*tests, most_cells / (states.size() * std::max<std::size_t>(1, report.faults.size())));
    for (MeasuredTest& test : *tests) all.tests.push_back(std::move(test));
    all.benches.back() = std::move(*bench);
  }
  return all;
}

ReadingTable table_of(const std::vector<MeasuredTest>& tests, std::size_t faults) {
  ReadingTable table;
  table.faults = faults;
  table.cells.reserve(tests.size() * faults);
  for (const MeasuredTest& test : tests)
    table.cells.insert(table.cells.end(), test.under.begin(), test.under.end());
  return table;
}

const MeterSheet& chosen_meter(const ProveOptions& options, ProveReport& report) {
  if (const MeterSheet* found = meter_sheet(options.meter)) return *found;
  std::string names;
  for (const std::string& name : meter_names()) names += (names.empty() ? "" : ", ") + name;
  report.problems.push_back({Severity::error,
                             "no-such-meter",
                             {},
                             "There is no meter \"" + options.meter + "\".",
                             "Name one of " + names + "; the handheld one is taken."});
  return *meter_sheet("");
}

}  // namespace

const char* name_of(TestKind kind) {
  return kind_names[static_cast<std::size_t>(kind)];
}

Proof prove(const Graft& graft, const ProveOptions& options) {
  Proof proof;
  ProveReport& report = proof.report;
  const MeterSheet& meter = chosen_meter(options, report);
  report.over_range = over_range_of(meter);
  report.faults = faults_of(graft, options.faults);
  judge_harm(graft, report.faults);
  const ProveScope scope = prove_scope(graft, report.faults);
  report.refused = scope.refused;
  const std::vector<PlannedState> states = planned_states(scope);
  for (const PlannedState& planned : states) report.states.push_back(planned.state);
  const Measured all = measure(scope, meter, states, report);
  for (const MeasuredTest& test : all.tests) report.tests.push_back(test.candidate.test);
  const CoverPlan plan = cover(cover_problem(report));
  report.plan = in_order(report, plan.tests);
  report.plan_minutes = plan.minutes;
  report.bound_minutes = plan.bound;
  report.optimal = plan.optimal;
  note_unexposed(scope, report, all.misses);
  report.joints = joint_thresholds(meter, report, all.tests, all.benches);
  proof.readings = table_of(all.tests, report.faults.size());
  return proof;
}

}  // namespace loomgraft
