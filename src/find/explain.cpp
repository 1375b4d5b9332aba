// Each note names one reading: for an excluded fault the one that contradicts it most, for a possible fault the one that
// fits it but neither a sound loom nor most other hypotheses.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "find/explain_internal.h"
#include "prove/reading_text.h"

namespace loomgraft::find {
namespace {

constexpr std::size_t noted_faults = 60;
constexpr std::size_t noted_outcomes = 3;
constexpr double noted_from = 0.01;  // odds of a hypothesis in the outcomes of a test

// "C1 3, mating face to the body"
std::string probe_points_of(const ProveTest& test) {
  if (!test.clamp.empty()) return "the clamp around " + test.clamp;
  return test.red.text.empty() ? test.text : test.red.text + " to " + test.black.text;
}

class Notes {
 public:
  Notes(const Proof& proof, const std::vector<Observed>& observed) : proof_(proof), observed_(observed) {}

  std::string out(std::size_t fault, std::size_t by) const {
    const Observed& reading = observed_[by];
    return fmt::format("out: {} read {}; this would show {}", probe_points_of(test_of(reading)),
                       reading_text(reading.value, test_of(reading).unit, proof_.report.over_range),
                       shown(fault, reading));
  }

  // By the reading that fits this fault, but neither a sound loom nor most other faults.
  std::string in(std::size_t fault, const std::vector<double>& explained) const {
    std::size_t best = observed_.size();
    for (std::size_t k = 0; k < observed_.size(); ++k) {
      if (fits_healthy(k) || !fits(fault, k)) continue;
      if (best == observed_.size() || explained[k] < explained[best]) best = k;
    }
    if (best == observed_.size())
      return observed_.empty() ? "no measurement yet" : "in: every measurement fits it";
    const Observed& reading = observed_[best];
    const ProveTest& test = test_of(reading);
    return fmt::format("in: {} read {}, a sound loom shows {}; this would show {}", probe_points_of(test),
                       reading_text(reading.value, test.unit, proof_.report.over_range),
                       band_text(test.band, test.unit, proof_.report.over_range), shown(fault, reading));
  }

  bool fits(std::size_t fault, std::size_t k) const { return fit(fault, k) >= smallest_fit; }

  // The reading that contradicts a fault most; none where all fit.
  std::size_t against(std::size_t fault) const {
    std::size_t worst = observed_.size();
    double smallest = smallest_fit;
    for (std::size_t k = 0; k < observed_.size(); ++k) {
      const double fit =
          fit_of(observed_[k].value, proof_.readings.at(observed_[k].test, fault), proof_.report.over_range);
      if (fit >= smallest) continue;
      smallest = fit;
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
    return band_text(shown_under_fault(proof_, fault, reading.test).band, test_of(reading).unit,
                     proof_.report.over_range);
  }
  bool fits_healthy(std::size_t k) const {
    return fit_of(observed_[k].value, test_of(observed_[k]).band, proof_.report.over_range) >= smallest_fit;
  }

  const Proof& proof_;
  const std::vector<Observed>& observed_;
};

// Odds of each fault alone.
std::vector<double> single_odds(const std::vector<WeighedHypothesis>& hypotheses, std::size_t faults) {
  std::vector<double> odds(faults, 0.0);
  for (const WeighedHypothesis& one : hypotheses) {
    if (one.faults.size() == 1) odds[one.faults[0]] = one.odds;
  }
  return odds;
}

// Odds of the single faults that explain each reading.
std::vector<double> explained_by(const Notes& notes, const std::vector<double>& odds, std::size_t readings) {
  std::vector<double> explained(readings, 0.0);
  for (std::size_t fault = 0; fault < odds.size(); ++fault) {
    if (odds[fault] < 1e-4) continue;
    for (std::size_t k = 0; k < readings; ++k) explained[k] += notes.fits(fault, k) ? odds[fault] : 0.0;
  }
  return explained;
}

}  // namespace

std::vector<FaultNote> fault_notes_of(const Proof& proof, const std::vector<Observed>& observed,
                                      const std::vector<WeighedHypothesis>& hypotheses,
                                      const std::vector<double>& priors) {
  const Notes notes(proof, observed);
  const std::vector<double> odds = single_odds(hypotheses, priors.size());
  const std::vector<double> explained = explained_by(notes, odds, observed.size());
  std::vector<std::size_t> order(priors.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
    return odds[a] != odds[b] ? odds[a] > odds[b] : priors[a] > priors[b];
  });
  order.resize(std::min(order.size(), noted_faults));
  std::vector<FaultNote> noted;
  for (const std::size_t fault : order) {
    const std::size_t by = notes.against(fault);
    const bool excluded = by < observed.size();
    noted.push_back(
        {fault, excluded, odds[fault], excluded ? notes.out(fault, by) : notes.in(fault, explained)});
  }
  return noted;
}

std::string repair_text_of(const Proof& proof, const WeighedHypothesis& hypothesis) {
  if (hypothesis.faults.empty()) return "nothing is wrong";
  std::string text;
  for (const std::size_t fault : hypothesis.faults)
    text += (text.empty() ? "" : "; and ") + proof.report.faults[fault].repair_text;
  return text;
}

std::string outcome_text(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                         std::size_t test) {
  const ProveTest& about = proof.report.tests[test];
  const double over_range = proof.report.over_range;
  struct Outcome {
    std::string shown;
    double odds = 0.0;
    double likeliest = 0.0;
    std::string means;
  };
  std::map<std::string, Outcome> outcomes;
  for (const WeighedHypothesis& one : hypotheses) {
    if (one.odds < noted_from) continue;
    const std::string shown = band_text(shown_under(proof, one, test).band, about.unit, over_range);
    Outcome& outcome = outcomes.try_emplace(shown, Outcome{shown, 0.0, 0.0, {}}).first->second;
    outcome.odds += one.odds;
    if (one.odds <= outcome.likeliest) continue;
    outcome.likeliest = one.odds;
    outcome.means = repair_text_of(proof, one);
  }
  std::vector<Outcome> order;
  order.reserve(outcomes.size());
  for (auto& [shown, outcome] : outcomes) order.push_back(std::move(outcome));
  std::ranges::stable_sort(order, [](const Outcome& a, const Outcome& b) { return a.odds > b.odds; });
  order.resize(std::min(order.size(), noted_outcomes));
  std::string text = "a sound loom shows " + band_text(about.band, about.unit, over_range);
  for (const Outcome& outcome : order)
    text += fmt::format("; {} ({:.0f} %) points to: {}", outcome.shown, 100.0 * outcome.odds, outcome.means);
  return text;
}

}  // namespace loomgraft::find
