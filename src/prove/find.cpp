#include "prove/find.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/find_odds_internal.h"
#include "prove/reading_words.h"

namespace loomgraft {
namespace {

constexpr double least_odds = 1e-3;      // of a hypothesis that is told
constexpr double least_bits = 1e-6;      // a test that tells less tells nothing
constexpr std::size_t told_faults = 60;  // in words
constexpr double pseudo_counts = 20.0;   // what the table of odds weighs against what was found in the field

class Finder {
 public:
  Finder(const Proof& proof, const FindOptions& options) : proof_(proof), options_(options) {}

  FindReport report(const std::vector<Reading>& readings) {
    take(readings);
    const std::vector<double> priors = learnt_priors();
    suspicions_ = suspicions_of(proof_, observed_, priors, options_);
    for (const Suspicion& one : suspicions_) groups_ = std::max(groups_, one.group + 1);
    report_.entropy_bits = entropy_of(suspicions_, groups_);
    tell_hypotheses();
    tell_repairs();
    tell_next();
    tell_words();
    return std::move(report_);
  }

 private:
  void refuse(const char* code, const Reading& reading, const std::string& what, const std::string& remedy) {
    report_.problems.push_back(
        {Severity::warning, code, {}, "Reading " + reading.id + " of " + reading.test + " " + what, remedy});
  }

  // The latest reading of each test counts, in the order of the tests.
  void take(const std::vector<Reading>& readings) {
    std::map<std::string, std::size_t> tests;
    for (std::size_t k = 0; k < proof_.report.tests.size(); ++k) tests.emplace(proof_.report.tests[k].id, k);
    std::map<std::size_t, const Reading*> latest;
    for (const Reading& reading : readings) {
      const auto test = tests.find(reading.test);
      if (test == tests.end()) {
        refuse("no-such-test", reading, "belongs to no test of this plan.",
               "Take it again in the plan as it is now.");
        continue;
      }
      if (reading.unit == "unreached") continue;
      if (!std::isfinite(reading.value)) {
        refuse("no-number", reading, "is no number.",
               "Enter what the meter shows; over range has a key of its own.");
        continue;
      }
      const std::string& unit = proof_.report.tests[test->second].unit;
      if (!reading.unit.empty() && reading.unit != unit) {
        refuse("wrong-unit", reading, "is in " + reading.unit + ", the test in " + unit + ".",
               "Enter it in " + unit + ".");
        continue;
      }
      latest[test->second] = &reading;
      last_state_ = proof_.report.tests[test->second].state;
    }
    for (const auto& [test, reading] : latest) observed_.push_back({test, reading->value, reading->id});
  }

  std::vector<double> learnt_priors() {
    const std::vector<Fault>& faults = proof_.report.faults;
    std::vector<double> priors;
    std::map<std::string, double> share;
    double sum = 0.0;
    for (const Fault& fault : faults) {
      priors.push_back(fault.prior);
      share[name_of(fault.kind)] += fault.prior;
      sum += fault.prior;
    }
    int found = 0;
    if (options_.learnt) {
      for (const auto& [kind, count] : options_.learnt->found) found += share.contains(kind) ? count : 0;
    }
    for (std::size_t k = 0; k < priors.size(); ++k) {
      priors[k] /= sum;
      if (found == 0) continue;
      const std::string kind = name_of(faults[k].kind);
      const double before = share[kind] / sum;
      const auto counted = options_.learnt->found.find(kind);
      const int count = counted == options_.learnt->found.end() ? 0 : counted->second;
      priors[k] *= (pseudo_counts * before + count) / (pseudo_counts + found) / before;
    }
    if (found > 0) tell_learnt(share, sum, found);
    return priors;
  }

  void tell_learnt(const std::map<std::string, double>& share, double sum, int found) {
    for (const auto& [kind, count] : options_.learnt->found) {
      const auto before = share.find(kind);
      if (before == share.end() || count == 0) continue;
      const double usual = before->second / sum;
      report_.learnt.push_back(
          fmt::format("{}: {} of {} faults found in {} recorded grafts; odds {:.0f} % instead of {:.0f} %",
                      kind, count, found, options_.learnt->grafts,
                      100.0 * (pseudo_counts * usual + count) / (pseudo_counts + found), 100.0 * usual));
    }
  }

  std::string misread_of(const Suspicion& one) const {
    return one.outside.empty() ? std::string() : observed_[one.outside.front()].id;
  }

  void tell_hypotheses() {
    for (const Suspicion& one : suspicions_) {
      if (one.odds >= least_odds) report_.hypotheses.push_back({one.faults, misread_of(one), one.odds});
      if (one.faults.empty()) report_.all_well = one.odds;
    }
    std::ranges::stable_sort(report_.hypotheses,
                             [](const Hypothesis& a, const Hypothesis& b) { return a.odds > b.odds; });
  }

  void tell_repairs() {
    std::map<std::string, RepairOdds> repairs;
    std::vector<std::size_t> order;
    for (const Suspicion& one : suspicions_) {
      if (one.faults.empty()) continue;
      std::string key;
      std::string words;
      for (const std::size_t fault : one.faults) {
        key += (key.empty() ? "" : " + ") + proof_.report.faults[fault].repair;
        words += (words.empty() ? "" : "; and ") + proof_.report.faults[fault].repair_words;
      }
      RepairOdds& repair = repairs[key];
      repair.repair = key;
      repair.words = words;
      repair.odds += one.odds;
      for (const std::size_t fault : one.faults) {
        if (std::ranges::count(repair.faults, fault) == 0) repair.faults.push_back(fault);
      }
    }
    for (auto& [key, repair] : repairs) {
      if (repair.odds >= least_odds) report_.repairs.push_back(std::move(repair));
    }
    std::ranges::stable_sort(report_.repairs,
                             [](const RepairOdds& a, const RepairOdds& b) { return a.odds > b.odds; });
    if (!report_.repairs.empty() && report_.repairs.front().odds >= options_.settled_at) report_.settled = 0;
  }

  bool is_measured(std::size_t test) const {
    return std::ranges::any_of(observed_, [&](const Observed& one) { return one.test == test; });
  }

  double minutes_of(const ProveTest& test) const {
    const bool here = last_state_ && *last_state_ == test.state;
    return std::max(0.05, test.minutes + (here ? 0.0 : proof_.report.states[test.state].minutes));
  }

  void tell_next() {
    if (report_.settled || report_.all_well >= options_.settled_at) return;
    std::vector<NextTest> next;
    for (std::size_t k = 0; k < proof_.report.tests.size(); ++k) {
      if (is_measured(k)) continue;
      const double bits = bits_of_test(proof_, suspicions_, groups_, k);
      if (bits > least_bits) next.push_back({k, bits, minutes_of(proof_.report.tests[k]), {}});
    }
    std::ranges::stable_sort(
        next, [](const NextTest& a, const NextTest& b) { return a.bits / a.minutes > b.bits / b.minutes; });
    next.resize(std::min(next.size(), options_.next_tests));
    for (NextTest& one : next) {
      const ProveTest& test = proof_.report.tests[one.test];
      one.words = fmt::format("{}: a sound loom shows {}; tells {:.2f} bits in {:.1f} minutes", test.words,
                              band_words(test.band, test.unit), one.bits, one.minutes);
    }
    report_.next = std::move(next);
  }

  std::string why_out(const Suspicion& one) const {
    const Observed& reading = observed_[one.outside.front()];
    const ProveTest& test = proof_.report.tests[reading.test];
    return fmt::format("out: {} read {}; this would show {}", test.words,
                       reading_words(reading.value, test.unit),
                       band_words(shown_under(proof_, one, reading.test), test.unit));
  }

  // The reading that a sound loom would not have shown and this fault would.
  std::string why_in(const Suspicion& one) const {
    for (const Observed& reading : observed_) {
      const ProveTest& test = proof_.report.tests[reading.test];
      if (fit_of(reading.value, test.band, test.unit) >= 0.5) continue;
      return fmt::format("in: {} read {}, where a sound loom shows {}; this would show {}", test.words,
                         reading_words(reading.value, test.unit), band_words(test.band, test.unit),
                         band_words(shown_under(proof_, one, reading.test), test.unit));
    }
    return observed_.empty() ? "nothing was measured yet" : "fits all that was measured";
  }

  void tell_words() {
    std::vector<const Suspicion*> singles;
    std::vector<bool> told(proof_.report.faults.size(), false);
    for (const Suspicion& one : suspicions_) {
      if (one.faults.size() == 1) singles.push_back(&one);
    }
    std::ranges::stable_sort(singles,
                             [](const Suspicion* a, const Suspicion* b) { return a->odds > b->odds; });
    for (const Suspicion* one : singles) {
      if (report_.words.size() >= told_faults) break;
      told[one->faults[0]] = true;
      report_.words.push_back({one->faults[0], !one->outside.empty(), one->odds,
                               one->outside.empty() ? why_in(*one) : why_out(*one)});
    }
    for (std::size_t k = 0; k < told.size() && report_.words.size() < told_faults; ++k) {
      if (told[k]) continue;
      Suspicion gone;
      gone.faults = {k};
      for (std::size_t r = 0; r < observed_.size(); ++r) {
        const ProveTest& test = proof_.report.tests[observed_[r].test];
        if (fit_of(observed_[r].value, shown_under(proof_, gone, observed_[r].test), test.unit) < 0.5)
          gone.outside.push_back(r);
      }
      if (!gone.outside.empty()) report_.words.push_back({k, true, 0.0, why_out(gone)});
    }
  }

  const Proof& proof_;
  const FindOptions& options_;
  std::vector<Observed> observed_;
  std::optional<std::size_t> last_state_;
  std::vector<Suspicion> suspicions_;
  std::size_t groups_ = 0;
  FindReport report_;
};

}  // namespace

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings, const FindOptions& options) {
  return Finder(proof, options).report(readings);
}

}  // namespace loomgraft
