#include "find/find.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "find/effort_internal.h"
#include "find/explain_internal.h"
#include "find/figures.h"
#include "find/odds_internal.h"
#include "units/print.h"

namespace loomgraft {

using namespace find;
namespace {

constexpr double smallest_odds = 1e-3;     // of a hypothesis that is reported
constexpr double shortest_minutes = 0.05;  // of a test, so that bits per minute stay finite
constexpr double never = 2.0;              // odds that nothing reaches

// The readings that count, by test.
struct Readings {
  std::vector<Observed> observed;   // in the order of the tests
  std::set<std::size_t> unreached;  // tests whose probe point could not be reached
  std::set<std::size_t> undecided;  // tests whose readings contradict each other: to be repeated
  std::vector<DifferingReadings> differing;
  std::optional<std::size_t> last;  // test of the last one taken
  std::set<std::size_t> opened;     // accesses already opened for a reading
};

class Intake {
 public:
  Intake(const Proof& proof, Problems& problems) : proof_(proof), problems_(problems) {
    for (std::size_t k = 0; k < proof.report.tests.size(); ++k) tests_.emplace(proof.report.tests[k].id, k);
  }

  Readings take(const std::vector<Reading>& readings) {
    Readings taken;
    std::set<std::string> ids;
    std::string last_time;
    for (const Reading& reading : readings) {
      if (!reading.id.empty() && !ids.insert(reading.id).second) continue;
      const std::optional<std::size_t> test = usable_test(reading);
      if (!test) continue;
      by_test_[*test].push_back(&reading);
      const ProveTest& of = proof_.report.tests[*test];
      if (reading.time.empty() || reading.time >= last_time) {
        taken.last = *test;
        last_time = reading.time;
      }
      if (reading.unit != unreached_unit) taken.opened.insert(of.accesses.begin(), of.accesses.end());
    }
    for (auto& [test, of_test] : by_test_) add_of_test(test, of_test, taken);
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

  // By time, then by position. The latest two that agree count, with all that agree with them; what came before and
  // contradicts them is dropped. While there are no such two, or later ones contradict them, each counts by itself.
  void add_of_test(std::size_t test, std::vector<const Reading*>& of_test, Readings& taken) const {
    std::ranges::stable_sort(of_test, {}, [](const Reading* one) { return one->time; });
    if (of_test.back()->unit == unreached_unit) {
      taken.unreached.insert(test);
      return;
    }
    std::erase_if(of_test, [](const Reading* one) { return one->unit == unreached_unit; });
    const auto agrees_with = [&](const Reading* one) {
      return [this, test, one](const Reading* other) { return agree(test, one->value, other->value); };
    };
    std::size_t first = of_test.size() - 1;
    while (first > 0 && std::none_of(of_test.begin(), of_test.begin() + static_cast<std::ptrdiff_t>(first),
                                     agrees_with(of_test[first])))
      --first;
    // Position zero agrees with nothing before it: no two agree, and every reading counts once.
    const auto times = std::ranges::count_if(of_test, agrees_with(of_test[first]));
    const bool undecided = first + 1 < of_test.size();
    for (std::size_t k = first; k < of_test.size(); ++k) {
      const Reading& one = *of_test[k];
      taken.observed.push_back({test, one.value, one.id.empty() ? one.test : one.id,
                                k == first ? static_cast<int>(times) : 1, undecided});
    }
    if (static_cast<std::size_t>(times) < of_test.size()) note_difference(test, of_test, undecided, taken);
  }

  void note_difference(std::size_t test, const std::vector<const Reading*>& of_test, bool undecided,
                       Readings& taken) const {
    DifferingReadings differing;
    differing.test = test;
    for (const Reading* one : of_test) differing.values.push_back(one->value);
    if (!undecided) differing.taken = of_test.back()->value;
    differing.unsteady = undecided && static_cast<double>(of_test.size()) >= find_figures().most_repeats;
    if (undecided && !differing.unsteady) taken.undecided.insert(test);
    taken.differing.push_back(std::move(differing));
  }

  // Both in band, both over range, or no more apart than a tenth or a slip.
  bool agree(std::size_t test, double a, double b) const {
    const double over_range = proof_.report.over_range;
    const ProveTest& about = proof_.report.tests[test];
    if (about.unit == "ohm" && (a >= over_range || b >= over_range))
      return a >= over_range && b >= over_range;
    const auto fits = [&](double value) { return fit_of(value, about.band, over_range) >= smallest_fit; };
    if (fits(a) != fits(b)) return false;
    const double larger = std::max(std::abs(a), std::abs(b));
    const double apart = std::max(find_figures().repeat_agrees * larger, slip_reach(larger, about.unit).up);
    return fits(a) || std::abs(a - b) <= apart;
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

// Tests that can be taken now, with power on or off. One that was measured is worth repeating once: two readings that
// agree are as good as certain.
std::vector<PossibleTest> candidates_of(const ProveReport& report, const Readings& taken, bool live) {
  std::set<std::size_t> excluded = taken.unreached;
  std::map<std::size_t, double> again;
  for (const Observed& one : taken.observed) {
    if (one.times > 1 || one.differs) excluded.insert(one.test);
    again[one.test] = one.value;
  }
  const Effort effort(report, taken.last, taken.opened);
  std::vector<PossibleTest> candidates;
  for (std::size_t k = 0; k < report.tests.size(); ++k) {
    const ProveTest& test = report.tests[k];
    if (report.conditions[test.condition].live != live || excluded.contains(k)) continue;
    PossibleTest possible{k, std::max(effort.minutes_to(test), shortest_minutes)};
    if (const auto repeated = again.find(k); repeated != again.end()) {
      possible.reason = NextReason::repeat;
      possible.before = repeated->second;
    }
    candidates.push_back(possible);
  }
  return candidates;
}

// Tests whose readings contradict each other come first, whatever else they tell: the quickest of them first.
std::vector<NextTest> to_decide(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                const Readings& taken, bool with_live, const FindOptions& options) {
  const Effort effort(proof.report, taken.last, taken.opened);
  std::vector<NextTest> next;
  for (const std::size_t test : taken.undecided) {
    const ProveTest& about = proof.report.tests[test];
    if (proof.report.conditions[about.condition].live && !with_live) continue;
    const PossibleTest possible{test, std::max(effort.minutes_to(about), shortest_minutes),
                                NextReason::readings_differ};
    const auto found = most_informative(proof, hypotheses, {possible}, 0.0, 1, options.misread, options.stop);
    next.insert(next.end(), found.begin(), found.end());
  }
  std::ranges::stable_sort(next, {}, &NextTest::minutes);
  return next;
}

// No power while a harmful fault is likely and a test without power is still informative.
std::vector<NextTest> next_tests(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                 const Readings& taken, const FindOptions& options) {
  const double gain = smallest_gain(hypotheses, options.worth);
  std::vector<std::size_t> measured;
  for (const Observed& one : taken.observed) measured.push_back(one.test);
  const auto best_of = [&](std::vector<PossibleTest> candidates) {
    return most_informative(proof, hypotheses, std::move(candidates), gain, options.next_tests,
                            options.misread, options.stop, measured);
  };
  std::vector<PossibleTest> dead = candidates_of(proof.report, taken, false);
  std::vector<PossibleTest> live = candidates_of(proof.report, taken, true);
  const bool harmful = harmful_odds(proof, hypotheses) > find_figures().harm_allowed;
  std::vector<NextTest> next;
  if (harmful) {
    next = best_of(std::move(dead));
    if (next.empty()) next = best_of(std::move(live));
  } else {
    dead.insert(dead.end(), live.begin(), live.end());
    next = best_of(std::move(dead));
  }
  const bool dead_left = harmful && !next.empty() &&
                         !proof.report.conditions[proof.report.tests[next.front().test].condition].live;
  std::vector<NextTest> first = to_decide(proof, hypotheses, taken, !dead_left, options);
  next.insert(next.begin(), first.begin(), first.end());
  next.resize(std::min(next.size(), std::max(options.next_tests, first.size())));
  for (NextTest& one : next) one.text = outcome_text(proof, hypotheses, one.test);
  return next;
}

FindReport stopped_report() {
  FindReport report;
  report.problems.push_back(was_stopped());
  return report;
}

}  // namespace

const char* name_of(NextReason reason) {
  constexpr const char* names[] = {"information", "readings-differ", "repeat"};
  return names[static_cast<std::size_t>(reason)];
}

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings, const FindOptions& options) {
  FindReport report;
  if (proof.report.faults.empty()) {
    report.no_fault = 1.0;
    return report;
  }
  const Readings taken = Intake(proof, report.problems).take(readings);
  LearntOdds learnt = learnt_odds(proof.report.faults, options.learnt);
  report.learnt = std::move(learnt.text);
  for (const Evidence& one : options.evidence) report.symptoms.push_back({one.id, one.text});
  const std::vector<WeighedHypothesis> hypotheses =
      weighed_hypotheses(proof, taken.observed, learnt.odds, options);
  if (options.stop.stop_requested()) return stopped_report();
  report.entropy_bits = entropy_of(hypotheses);
  add_hypotheses(hypotheses, taken.observed, report);
  report.differing = taken.differing;
  // Nothing is isolated on a reading that another contradicts.
  add_repairs(proof, hypotheses, taken.undecided.empty() ? options.isolated_at : never, report);
  const bool sound = report.no_fault >= options.isolated_at && taken.undecided.empty();
  if (!report.isolated && !sound && options.next_tests > 0)
    report.next = next_tests(proof, hypotheses, taken, options);
  if (options.stop.stop_requested()) return stopped_report();
  if (options.notes) report.fault_notes = fault_notes_of(proof, taken.observed, hypotheses, learnt.odds);
  return report;
}

}  // namespace loomgraft
