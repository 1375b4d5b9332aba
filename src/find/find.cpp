#include "find/find.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "find/explain_internal.h"
#include "find/figures.h"
#include "find/odds_internal.h"
#include "units/print.h"

namespace loomgraft {

using namespace find;
namespace {

constexpr double smallest_odds = 1e-3;     // of a hypothesis that is reported
constexpr double shortest_minutes = 0.05;  // of a test, so that bits per minute stay finite

// The readings that count, by test.
struct Readings {
  std::vector<Observed> observed;             // in the order of the tests
  std::set<std::size_t> unreached;            // tests whose probe point could not be reached
  std::optional<std::size_t> last_condition;  // of the last one taken
  std::set<std::size_t> opened;               // accesses already opened for a reading
};

class Intake {
 public:
  Intake(const Proof& proof, Problems& problems) : proof_(proof), problems_(problems) {
    for (std::size_t k = 0; k < proof.report.tests.size(); ++k) tests_.emplace(proof.report.tests[k].id, k);
  }

  Readings take(const std::vector<Reading>& readings) {
    Readings taken;
    std::set<std::string> ids;
    for (const Reading& reading : readings) {
      if (!reading.id.empty() && !ids.insert(reading.id).second) continue;
      const std::optional<std::size_t> test = usable_test(reading);
      if (!test) continue;
      by_test_[*test].push_back(&reading);
      const ProveTest& of = proof_.report.tests[*test];
      taken.last_condition = of.condition;
      if (reading.unit != unreached_unit) taken.opened.insert(of.accesses.begin(), of.accesses.end());
    }
    for (auto& [test, of_test] : by_test_) add_latest(test, of_test, taken);
    return taken;
  }

 private:
  std::optional<std::size_t> refuse(ProblemCode code, const Reading& reading, const std::string& what,
                                    const std::string& remedy) {
    const std::string name = reading.id.empty() ? "The reading" : "Reading " + reading.id;
    problems_.push_back({Severity::warning, code, {}, name + " of " + reading.test + " " + what, remedy});
    return std::nullopt;
  }

  std::optional<std::size_t> usable_test(const Reading& reading) {
    const auto test = tests_.find(reading.test);
    if (test == tests_.end())
      return refuse("no-such-test", reading, "belongs to no test of this plan.",
                    "Repeat it in the present plan.");
    if (reading.unit == unreached_unit) return test->second;
    if (!std::isfinite(reading.value))
      return refuse("no-number", reading, "is not a number.",
                    "Enter what the meter shows; there is a key for over range.");
    const std::string& unit = proof_.report.tests[test->second].unit;
    if (!reading.unit.empty() && reading.unit != unit)
      return refuse("wrong-unit", reading,
                    "is in " + std::string(unit_sign(reading.unit)) + ", the test in " +
                        std::string(unit_sign(unit)) + ".",
                    "Enter it in " + std::string(unit_sign(unit)) + ".");
    return test->second;
  }

  // The latest of a test counts, by its time and then by its position; earlier ones that agree confirm it.
  void add_latest(std::size_t test, std::vector<const Reading*>& of_test, Readings& taken) const {
    std::ranges::stable_sort(of_test, {}, [](const Reading* one) { return one->time; });
    const Reading& latest = *of_test.back();
    if (latest.unit == unreached_unit) {
      taken.unreached.insert(test);
      return;
    }
    const auto agree = [&](const Reading* one) {
      if (one->unit == unreached_unit) return false;
      const double over_range = proof_.report.over_range;
      if (one->value >= over_range || latest.value >= over_range)
        return one->value >= over_range && latest.value >= over_range;
      const double larger = std::max(std::abs(one->value), std::abs(latest.value));
      return std::abs(one->value - latest.value) <= find_figures().repeat_agrees * larger;
    };
    const auto times = std::ranges::count_if(of_test, agree);
    taken.observed.push_back(
        {test, latest.value, latest.id.empty() ? latest.test : latest.id, static_cast<int>(times)});
  }

  const Proof& proof_;
  Problems& problems_;
  std::map<std::string, std::size_t> tests_;
  std::map<std::size_t, std::vector<const Reading*>> by_test_;
};

std::string misread_of(const WeighedHypothesis& one, const std::vector<Observed>& observed) {
  std::string ids;
  for (const std::size_t k : one.outside) ids += (ids.empty() ? "" : " + ") + observed[k].id;
  return ids;
}

void add_hypotheses(const std::vector<WeighedHypothesis>& hypotheses, const std::vector<Observed>& observed,
                    FindReport& report) {
  for (const WeighedHypothesis& one : hypotheses) {
    if (one.odds >= smallest_odds)
      report.hypotheses.push_back({one.faults, misread_of(one, observed), one.odds});
    if (one.faults.empty()) report.no_fault = one.odds;
  }
  std::ranges::stable_sort(report.hypotheses,
                           [](const Hypothesis& a, const Hypothesis& b) { return a.odds > b.odds; });
  const bool explained = std::ranges::any_of(hypotheses, [](const WeighedHypothesis& one) {
    return one.outside.empty() && one.odds >= smallest_odds;
  });
  if (!explained)
    report.problems.push_back(
        {Severity::warning,
         "not-explained",
         {},
         "No single fault and no pair of faults explains every reading.",
         "Repeat the readings named as misreadings. If they are right, there are more than two "
         "faults, or the document does not match the loom."});
}

// Odds that each repair is needed, alone or with another.
void add_repairs(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses, double isolated_at,
                 FindReport& report) {
  std::map<std::string, RepairOdds> repairs;
  std::map<std::size_t, double> fault_odds;
  for (const WeighedHypothesis& one : hypotheses) {
    std::set<std::string> needed;
    for (const std::size_t fault : one.faults) {
      needed.insert(proof.report.faults[fault].repair);
      fault_odds[fault] += one.odds;
    }
    for (const std::string& repair : needed) repairs[repair].odds += one.odds;
  }
  for (const auto& [fault, odds] : fault_odds) {
    RepairOdds& repair = repairs[proof.report.faults[fault].repair];
    repair.repair = proof.report.faults[fault].repair;
    repair.text = proof.report.faults[fault].repair_text;
    repair.faults.push_back(fault);
  }
  for (auto& [id, repair] : repairs) {
    if (repair.odds < smallest_odds) continue;
    std::ranges::stable_sort(repair.faults,
                             [&](std::size_t a, std::size_t b) { return fault_odds[a] > fault_odds[b]; });
    report.repairs.push_back(std::move(repair));
  }
  std::ranges::stable_sort(report.repairs,
                           [](const RepairOdds& a, const RepairOdds& b) { return a.odds > b.odds; });
  if (!report.repairs.empty() && report.repairs.front().odds >= isolated_at) report.isolated = 0;
}

double harmful_odds(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses) {
  double odds = 0.0;
  for (const WeighedHypothesis& one : hypotheses) {
    const bool harmful = std::ranges::any_of(
        one.faults, [&](std::size_t fault) { return is_harmful(proof.report.faults[fault]); });
    if (harmful) odds += one.odds;
  }
  return odds;
}

// Below this a test takes minutes and decides nothing.
double smallest_gain(const std::vector<WeighedHypothesis>& hypotheses, double worth) {
  double largest = 0.0;
  for (const WeighedHypothesis& one : hypotheses)
    largest = std::max(largest, one.faults.empty() ? 0.0 : one.odds);
  return std::max(worth * largest, 1e-6);
}

// With the change of condition and the places that are not open yet.
double minutes_to(const ProveReport& report, const Readings& taken, const ProveTest& test) {
  double minutes = test.minutes;
  if (taken.last_condition != test.condition) minutes += report.conditions[test.condition].minutes;
  for (const std::size_t access : test.accesses) {
    if (!taken.opened.contains(access)) minutes += report.accesses[access].minutes;
  }
  return minutes;
}

// Tests that can be taken now, with power on or off. A reading is worth repeating once: two that agree are as good as
// certain.
std::vector<PossibleTest> candidates_of(const ProveReport& report, const Readings& taken, bool live) {
  std::set<std::size_t> excluded = taken.unreached;
  for (const Observed& one : taken.observed) {
    if (one.times > 1) excluded.insert(one.test);
  }
  std::vector<PossibleTest> candidates;
  for (std::size_t k = 0; k < report.tests.size(); ++k) {
    const ProveTest& test = report.tests[k];
    if (report.conditions[test.condition].live != live || excluded.contains(k)) continue;
    candidates.push_back({k, std::max(minutes_to(report, taken, test), shortest_minutes)});
  }
  return candidates;
}

// No power while a harmful fault is likely and a test without power is still informative.
std::vector<NextTest> next_tests(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                 const Readings& taken, const FindOptions& options) {
  const double gain = smallest_gain(hypotheses, options.worth);
  const auto best_of = [&](std::vector<PossibleTest> candidates) {
    return most_informative(proof, hypotheses, std::move(candidates), gain, options.next_tests, options.stop);
  };
  std::vector<PossibleTest> dead = candidates_of(proof.report, taken, false);
  std::vector<PossibleTest> live = candidates_of(proof.report, taken, true);
  std::vector<NextTest> next;
  if (harmful_odds(proof, hypotheses) > find_figures().harm_allowed) {
    next = best_of(std::move(dead));
    if (next.empty()) next = best_of(std::move(live));
  } else {
    dead.insert(dead.end(), live.begin(), live.end());
    next = best_of(std::move(dead));
  }
  for (NextTest& one : next) one.text = outcome_text(proof, hypotheses, one.test);
  return next;
}

FindReport stopped_report() {
  FindReport report;
  report.problems.push_back(was_stopped());
  return report;
}

}  // namespace

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings, const FindOptions& options) {
  FindReport report;
  if (proof.report.faults.empty()) {
    report.no_fault = 1.0;
    return report;
  }
  const Readings taken = Intake(proof, report.problems).take(readings);
  LearntOdds learnt = learnt_odds(proof.report.faults, options.learnt);
  report.learnt = std::move(learnt.text);
  const std::vector<WeighedHypothesis> hypotheses =
      weighed_hypotheses(proof, taken.observed, learnt.odds, options);
  if (options.stop.stop_requested()) return stopped_report();
  report.entropy_bits = entropy_of(hypotheses);
  add_hypotheses(hypotheses, taken.observed, report);
  add_repairs(proof, hypotheses, options.isolated_at, report);
  if (!report.isolated && report.no_fault < options.isolated_at && options.next_tests > 0)
    report.next = next_tests(proof, hypotheses, taken, options);
  if (options.stop.stop_requested()) return stopped_report();
  if (options.notes) report.fault_notes = fault_notes_of(proof, taken.observed, hypotheses, learnt.odds);
  return report;
}

}  // namespace loomgraft
