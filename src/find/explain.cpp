#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "find/explain_internal.h"
#include "prove/reading_words.h"

namespace loomgraft::find {
namespace {

constexpr std::size_t told_faults = 60;
constexpr std::size_t told_outcomes = 3;
constexpr double told_from = 0.01;  // of a suspicion in the outcomes of a test

// "C1 3, mating face to the body"
std::string places_of(const ProveTest& test) {
  if (!test.clamp.empty()) return "the clamp around " + test.clamp;
  return test.red.text.empty() ? test.text : test.red.text + " to " + test.black.text;
}

class Words {
 public:
  Words(const Proof& proof, const std::vector<Observed>& observed) : proof_(proof), observed_(observed) {}

  std::string out(std::size_t fault, std::size_t by) const {
    const Observed& reading = observed_[by];
    return fmt::format("out: {} read {}; this would show {}", places_of(test_of(reading)),
                       reading_words(reading.value, test_of(reading).unit), shown(fault, reading));
  }

  // By the reading that speaks for this fault more than for a sound loom and for most others.
  std::string in(std::size_t fault, const std::vector<double>& explained) const {
    std::size_t best = observed_.size();
    for (std::size_t k = 0; k < observed_.size(); ++k) {
      if (fits_sound(k) || !fits(fault, k)) continue;
      if (best == observed_.size() || explained[k] < explained[best]) best = k;
    }
    if (best == observed_.size())
      return observed_.empty() ? "nothing was measured yet" : "in: it would show all that was measured";
    const Observed& reading = observed_[best];
    const ProveTest& test = test_of(reading);
    return fmt::format("in: {} read {}, a sound loom shows {}; this would show {}", places_of(test),
                       reading_words(reading.value, test.unit), band_words(test.band, test.unit),
                       shown(fault, reading));
  }

  bool fits(std::size_t fault, std::size_t k) const { return fit(fault, k) >= least_fit; }

  // The reading that contradicts a fault most; none where all fit.
  std::size_t against(std::size_t fault) const {
    std::size_t worst = observed_.size();
    double least = least_fit;
    for (std::size_t k = 0; k < observed_.size(); ++k) {
      const double fit =
          fit_of(observed_[k].value, proof_.readings.at(observed_[k].test, fault), proof_.report.over_range);
      if (fit >= least) continue;
      least = fit;
      worst = k;
    }
    return worst;
  }

 private:
  double fit(std::size_t fault, std::size_t k) const {
    return fit_of(observed_[k].value, shown_under_fault(proof_, fault, observed_[k].test).band,
                  proof_.report.over_range);
  }
  const ProveTest& test_of(const Observed& reading) const { return proof_.report.tests[reading.test]; }
  std::string shown(std::size_t fault, const Observed& reading) const {
    return band_words(shown_under_fault(proof_, fault, reading.test).band, test_of(reading).unit);
  }
  bool fits_sound(std::size_t k) const {
    return fit_of(observed_[k].value, test_of(observed_[k]).band, proof_.report.over_range) >= least_fit;
  }

  const Proof& proof_;
  const std::vector<Observed>& observed_;
};

// Odds of each fault alone, from what is left of the suspicions.
std::vector<double> single_odds(const std::vector<Suspicion>& suspicions, std::size_t faults) {
  std::vector<double> odds(faults, 0.0);
  for (const Suspicion& one : suspicions) {
    if (one.faults.size() == 1) odds[one.faults[0]] = one.odds;
  }
  return odds;
}

// Odds of the single faults that explain each reading.
std::vector<double> explained_by(const Words& words, const std::vector<double>& odds, std::size_t readings) {
  std::vector<double> explained(readings, 0.0);
  for (std::size_t fault = 0; fault < odds.size(); ++fault) {
    if (odds[fault] < 1e-4) continue;
    for (std::size_t k = 0; k < readings; ++k) explained[k] += words.fits(fault, k) ? odds[fault] : 0.0;
  }
  return explained;
}

}  // namespace

std::vector<FaultNote> fault_words(const Proof& proof, const std::vector<Observed>& observed,
                                   const std::vector<Suspicion>& suspicions,
                                   const std::vector<double>& priors) {
  const Words words(proof, observed);
  const std::vector<double> odds = single_odds(suspicions, priors.size());
  const std::vector<double> explained = explained_by(words, odds, observed.size());
  std::vector<std::size_t> order(priors.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
    return odds[a] != odds[b] ? odds[a] > odds[b] : priors[a] > priors[b];
  });
  order.resize(std::min(order.size(), told_faults));
  std::vector<FaultNote> told;
  for (const std::size_t fault : order) {
    const std::size_t by = words.against(fault);
    const bool excluded = by < observed.size();
    told.push_back(
        {fault, excluded, odds[fault], excluded ? words.out(fault, by) : words.in(fault, explained)});
  }
  return told;
}

std::string mending_words(const Proof& proof, const Suspicion& suspicion) {
  if (suspicion.faults.empty()) return "nothing is wrong";
  std::string text;
  for (const std::size_t fault : suspicion.faults)
    text += (text.empty() ? "" : "; and ") + proof.report.faults[fault].repair_text;
  return text;
}

std::string outcome_words(const Proof& proof, const std::vector<Suspicion>& suspicions, std::size_t test) {
  const ProveTest& about = proof.report.tests[test];
  struct Outcome {
    std::string shown;
    double odds = 0.0;
    double likeliest = 0.0;
    std::string means;
  };
  std::map<std::string, Outcome> outcomes;
  for (const Suspicion& one : suspicions) {
    if (one.odds < told_from) continue;
    const std::string shown = band_words(shown_under(proof, one, test).band, about.unit);
    Outcome& outcome = outcomes.try_emplace(shown, Outcome{shown, 0.0, 0.0, {}}).first->second;
    outcome.odds += one.odds;
    if (one.odds <= outcome.likeliest) continue;
    outcome.likeliest = one.odds;
    outcome.means = mending_words(proof, one);
  }
  std::vector<Outcome> order;
  order.reserve(outcomes.size());
  for (auto& [shown, outcome] : outcomes) order.push_back(std::move(outcome));
  std::ranges::stable_sort(order, [](const Outcome& a, const Outcome& b) { return a.odds > b.odds; });
  order.resize(std::min(order.size(), told_outcomes));
  std::string text = "a sound loom shows " + band_words(about.band, about.unit);
  for (const Outcome& outcome : order)
    text += fmt::format("; {} ({:.0f} %) speaks for: {}", outcome.shown, 100.0 * outcome.odds, outcome.means);
  return text;
}

}  // namespace loomgraft::find
