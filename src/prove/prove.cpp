#include "prove/prove.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <map>
#include <set>

#include "base/parallel.h"
#include "base/stop.h"
#include "prove/plan_internal.h"
#include "prove/test_plug_internal.h"
#include "readings/harm.h"
#include "readings/working_currents.h"

namespace loomgraft {

using namespace prove;
namespace {

constexpr std::array kind_names{"continuity",  "isolation", "resistance", "diode",  "volts",
                                "loaded_drop", "current",   "fuse_drop",  "wiggle", "module_pin"};

// What is measured in one condition.
struct MeasuredCondition {
  Problems problems;
  std::optional<ConditionBench> bench;
  std::vector<MeasuredTest> tests;
  std::vector<NearMiss> misses;  // by fault
};

// Everything measured, before the plan is made.
struct Measured {
  std::vector<MeasuredTest> tests;
  std::vector<std::optional<ConditionBench>> benches;
  std::vector<NearMiss> misses;
};

Problem not_solved(const ProveCondition& condition, const Problem& why) {
  return {Severity::warning,
          "state-not-solved",
          {},
          "Condition " + condition.id + " is left out: " + why.message,
          why.remedy};
}

void add_assumptions(ProveReport& report, const LoomNetwork& network,
                     std::set<std::pair<std::string, std::string>>& met) {
  for (const Assumption& one : network.assumptions) {
    if (met.emplace(one.subject, one.quantity).second) report.assumptions.push_back(one);
  }
}

// Readings under faults that are kept: a byte or four each, half a gigabyte in all.
constexpr std::size_t most_cells = 256u << 20;

// Of more tests than fit into memory, those that no other test of the condition replaces.
void keep_best(const ProveScope& scope, std::vector<MeasuredTest>& tests, std::size_t room) {
  if (tests.size() <= room) return;
  const auto number = [](std::size_t k) { return static_cast<std::uint32_t>(k); };
  CoverProblem problem;
  problem.faults = tests.front().under.size();
  for (const PlaceAccess& access : scope.accesses) problem.setup_minutes.push_back(access.minutes);
  for (const MeasuredTest& measured : tests) {
    const ProveTest& test = measured.candidate.test;
    problem.tests.push_back({test.minutes, {}, {}});
    std::ranges::transform(test.accesses, std::back_inserter(problem.tests.back().setups), number);
    std::ranges::transform(test.exposes, std::back_inserter(problem.tests.back().exposes), number);
  }
  const std::vector<bool> kept = undominated(problem);
  std::size_t index = 0;
  std::erase_if(tests, [&](const MeasuredTest&) { return !kept[index++]; });
}

MeasuredCondition measure_condition(const ProveScope& scope, const MeterSheet& meter,
                                    const std::vector<PlannedCondition>& conditions, std::size_t number,
                                    const std::vector<Fault>& faults, const StopToken& stop) {
  MeasuredCondition made;
  if (stop.stop_requested()) return made;
  const PlannedCondition& planned = conditions[number];
  auto bench = condition_bench(scope, planned.condition, faults, stop);
  if (!bench) {
    made.problems.push_back(not_solved(planned.condition, bench.error()));
    return made;
  }
  if (number == 0) made.problems = bench->nominal.problems;
  made.misses.resize(faults.size());
  auto tests =
      measured(meter, *bench, faults, candidates_of(scope, number, planned, bench->nominal, bench->solution),
               made.misses, stop);
  if (!tests) {
    made.problems.push_back(not_solved(planned.condition, tests.error()));
    return made;
  }
  made.tests = std::move(*tests);
  keep_best(scope, made.tests, most_cells / (conditions.size() * std::max<std::size_t>(1, faults.size())));
  made.bench = std::move(*bench);
  return made;
}

void add_misses(std::vector<NearMiss>& best, std::vector<NearMiss>& more) {
  for (std::size_t fault = 0; fault < more.size(); ++fault) {
    if (more[fault].clearance > best[fault].clearance) best[fault] = std::move(more[fault]);
  }
}

Measured measure(const ProveScope& scope, const MeterSheet& meter,
                 const std::vector<PlannedCondition>& conditions, ProveReport& report,
                 const StopToken& stop) {
  std::vector<MeasuredCondition> made(conditions.size());
  parallel_for(conditions.size(), [&](std::size_t number) {
    made[number] = measure_condition(scope, meter, conditions, number, report.faults, stop);
  });
  Measured all;
  all.misses.resize(report.faults.size());
  std::set<std::pair<std::string, std::string>> assumed;
  for (MeasuredCondition& condition : made) {
    std::ranges::move(condition.problems, std::back_inserter(report.problems));
    if (condition.bench) add_assumptions(report, condition.bench->nominal, assumed);
    add_misses(all.misses, condition.misses);
    std::ranges::move(condition.tests, std::back_inserter(all.tests));
    all.benches.push_back(std::move(condition.bench));
  }
  return all;
}

ReadingTable table_of(std::vector<MeasuredTest>& tests, std::size_t faults) {
  ReadingTable table;
  table.faults = faults;
  table.rows.reserve(tests.size());
  for (MeasuredTest& test : tests) table.rows.push_back(std::move(test.under));
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

// Parts that say the same are one question: the vehicle's pin, the donor's and the wire on it.
void note_presumed(const std::vector<PresumedPart>& presumed, ProveReport& report) {
  for (auto part = presumed.begin(); part != presumed.end(); ++part) {
    const auto says_so = [&](const PresumedPart& other) { return other.said == part->said; };
    if (std::any_of(presumed.begin(), part, says_so)) continue;
    std::string places = part->name;
    for (auto other = part + 1; other != presumed.end(); ++other) {
      const bool named = places == other->name || other->name == part->said ||
                         places.find(", " + other->name) != std::string::npos;
      if (says_so(*other) && !named) places += ", " + other->name;
    }
    report.to_confirm.push_back(
        {HazardSource::restraint, part->pointer + " " + part->said,
         "\"" + part->said + "\" (" + places + ") may belong to a restraint or high-voltage circuit",
         "Find out from the maker's diagram and answer, or keep it apart and untouched."});
  }
}

// A wire whose joints and copper no test proves is one thing to look at.
std::string confirmed_together(const Fault& fault) {
  if (fault.kind == FaultKind::bad_joint) return fault.subjects[1].id;
  return fault.kind == FaultKind::thin_wire ? fault.subjects[0].id : std::string();
}

void note_harmful(ProveReport& report) {
  std::map<std::string, std::size_t> of_wire;
  for (const Unexposed& one : report.unexposed) {
    const Fault& fault = report.faults[one.fault];
    if (!is_harmful(fault)) continue;
    const std::string wire = confirmed_together(fault);
    const auto [found, is_new] = of_wire.try_emplace(wire, report.to_confirm.size());
    if (!wire.empty() && !is_new)
      report.to_confirm[found->second].text += "; " + fault.text;
    else
      report.to_confirm.push_back({HazardSource::fault, fault.id, fault.text, one.remedy});
  }
}

// What no test rules out and could do harm, what nobody has answered, and what other stages left open.
void note_hazards(const LoomFrame& frame, const std::vector<OpenHazard>& others, ProveReport& report) {
  note_harmful(report);
  note_presumed(frame.forbidden.presumed, report);
  report.to_confirm.insert(report.to_confirm.end(), others.begin(), others.end());
  if (report.to_confirm.empty()) return;
  const std::size_t count = report.to_confirm.size();
  report.problems.push_back({Severity::warning,
                             "open-hazards",
                             {},
                             "The plan goes on over " + std::to_string(count) +
                                 (count == 1 ? " hazard that" : " hazards that") +
                                 " no measurement rules out.",
                             "Look at each and confirm it before the battery is joined."});
}

Proof stopped_proof() {
  Proof proof;
  proof.report.problems.push_back(was_stopped());
  return proof;
}

}  // namespace

const char* name_of(TestKind kind) {
  return kind_names[static_cast<std::size_t>(kind)];
}

std::size_t faults_that_matter(const ProveReport& report) {
  return static_cast<std::size_t>(std::ranges::count_if(report.faults, &Fault::matters));
}

Proof prove_loom(const Graft& graft, const ProveOptions& options) {
  Proof proof;
  ProveReport& report = proof.report;
  const MeterSheet& meter = chosen_meter(options, report);
  report.over_range = over_range_of(meter);
  const std::shared_ptr<const LoomFrame> frame = frame_of(graft, LoomState::as_planned);
  report.faults = faults_of(*frame, options.faults);
  if (!(options.faults.joint_ohms > 0.0))
    report.faults = with_working_currents(*frame, std::move(report.faults), options.stop);
  judge_harm(*frame, report.faults, options.stop);
  if (options.stop.stop_requested()) return stopped_proof();
  const ProveScope scope = prove_scope(frame, report.faults);
  report.refused = scope.refused;
  report.accesses = scope.accesses;
  const std::vector<PlannedCondition> conditions = planned_conditions(scope);
  for (const PlannedCondition& planned : conditions) report.conditions.push_back(planned.condition);
  const auto is_plug = [](const PlannedCondition& planned) { return planned.use == ConditionUse::test_plug; };
  const auto first_plug =
      static_cast<std::size_t>(std::ranges::find_if(conditions, is_plug) - conditions.begin());
  Measured all = measure(scope, meter, conditions, report, options.stop);
  if (options.stop.stop_requested()) return stopped_proof();
  for (const MeasuredTest& test : all.tests) report.tests.push_back(test.candidate.test);
  const auto first_test = static_cast<std::size_t>(
      std::ranges::find_if(report.tests,
                           [&](const ProveTest& test) { return test.condition >= first_plug; }) -
      report.tests.begin());
  make_plan_with_plugs(graft, options, first_test, first_plug, report);
  all.tests.erase(all.tests.begin() + static_cast<std::ptrdiff_t>(report.tests.size()), all.tests.end());
  all.benches.resize(report.conditions.size());
  note_unexposed(scope, report, all.misses);
  note_hazards(*frame, options.hazards, report);
  report.joints = joint_thresholds(meter, report, all.tests, all.benches, options.stop);
  if (options.stop.stop_requested()) return stopped_proof();
  proof.readings = table_of(all.tests, report.faults.size());
  return proof;
}

}  // namespace loomgraft
