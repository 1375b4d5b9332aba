// Odds by Bayes, in logarithms: prior times the likelihood of each reading. All single faults are weighed; of the many
// pairs only those of likely faults, and those whose second fault explains what a likely first one leaves unexplained.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "find/figures.h"
#include "find/odds_internal.h"

namespace loomgraft::find {
namespace {

// Limits of the effort: so many of the likeliest single faults are paired with each other; the first few of them also
// with the faults that best explain what they leave unexplained.
constexpr std::size_t paired = 48;
constexpr std::size_t completed = 12;
constexpr std::size_t complements = 24;
constexpr double counts_from = 1e-3;  // of the likeliest: see Counted
constexpr double pair_counts_from = 2e-2;
constexpr double enough_explain = 0.1;
constexpr double forgotten = 1e-9;          // share of the whole below which a hypothesis is dropped
constexpr double smallest_misread = 1e-12;  // keeps odds finite if readings contradict each other

bool overlaps(const Band& a, const Band& b) {
  return a.low <= b.high && b.low <= a.high;
}

Band joined(const Band& a, const Band& b) {
  return {std::min(a.low, b.low), std::max(a.high, b.high)};
}

// From so many times its low end on, a joint's interval is drawn from by ratio.
constexpr double spans_decades = 10.0;

// From so many times the sound interval's width on, an interval that overlaps it is a range of faults and not the same
// reading with a wider spread.
constexpr double is_range = 3.0;

// An interval that reaches over range reads over range; one without ends says nothing, so the sound reading is taken.
// Where the fault may leave the reading as it is, so does the reading that both allow.
Band drawn_from(const Band& own, const Band& healthy, double over_range) {
  Band band = std::isfinite(own.low) ? own : healthy;
  if (overlaps(band, healthy) && band.high - band.low <= is_range * (healthy.high - healthy.low))
    band = {std::max(band.low, healthy.low), std::min(band.high, healthy.high)};
  if (band.high >= over_range) return {over_range, over_range};
  return std::isfinite(band.low) ? band : Band{0.0, 0.0};
}

class Likelihood {
 public:
  Likelihood(const Proof& proof, const std::vector<Observed>& observed, const FindOptions& options)
      : proof_(proof), observed_(observed), evidence_(options.evidence) {
    // Readings that confirm each other are all misreadings or none; the later ones are less of a proof than the
    // first, since who probes the wrong cavity once may do so again.
    for (const Observed& one : observed) {
      const double again = std::pow(find_figures().gross_again, one.times - 1);
      gross_.push_back(std::max(options.misread * again, smallest_misread));
      slip_.push_back(options.small_misread * again);
      reach_.push_back(slip_reach(one.value, proof.report.tests[one.test].unit));
    }
  }

  double log_likelihood(const WeighedHypothesis& hypothesis, std::size_t k) const {
    const Observed& one = observed_[k];
    const Band band = shown_under(proof_, hypothesis, one.test).band;
    const double fit = fit_of(one.value, band, proof_.report.over_range);
    if (fit == 1.0) return 0.0;
    const double otherwise = is_slip(k, band) ? std::max(gross_[k], slip_[k]) : gross_[k];
    return std::log(otherwise + (1.0 - otherwise) * fit);
  }

  double log_weight(const WeighedHypothesis& hypothesis) const {
    double sum = 0.0;
    for (std::size_t k = 0; k < observed_.size(); ++k) sum += log_likelihood(hypothesis, k);
    for (const Evidence& one : evidence_) sum += std::log(noticed(one, hypothesis));
    return sum;
  }

  // Clearly outside the interval, be it by a slip only.
  bool is_out_of(std::size_t k, const Band& band) const {
    return fit_of(observed_[k].value, band, proof_.report.over_range) < smallest_fit;
  }

 private:
  // The meter shows too much by at most `up`, too little by at most `down`.
  bool is_slip(std::size_t k, const Band& band) const {
    const double value = observed_[k].value;
    return value < proof_.report.over_range && value - reach_[k].up <= band.high &&
           value + reach_[k].down >= band.low;
  }

  // Two faults together show what either of them shows.
  static double noticed(const Evidence& evidence, const WeighedHypothesis& hypothesis) {
    if (hypothesis.faults.empty()) return evidence.sound;
    double most = 0.0;
    for (const std::size_t fault : hypothesis.faults) most = std::max(most, evidence.faults[fault]);
    return most;
  }

  const Proof& proof_;
  const std::vector<Observed>& observed_;
  const std::vector<Evidence>& evidence_;
  std::vector<double> gross_, slip_;  // by reading: probabilities that it is off, by much or by little
  std::vector<SlipReach> reach_;
};

using Scores = std::vector<std::pair<double, std::size_t>>;  // with the fault

std::vector<std::size_t> best_of(Scores scores, std::size_t most) {
  const auto better = [](const auto& a, const auto& b) {
    return a.first != b.first ? a.first > b.first : a.second < b.second;
  };
  const std::size_t count = std::min(scores.size(), most);
  std::partial_sort(scores.begin(), scores.begin() + static_cast<std::ptrdiff_t>(count), scores.end(),
                    better);
  std::vector<std::size_t> faults;
  for (std::size_t k = 0; k < count; ++k) faults.push_back(scores[k].second);
  return faults;
}

// Those that best explain what `fault` leaves unexplained.
std::vector<std::size_t> complements_of(const Likelihood& likelihood, const std::vector<double>& priors,
                                        const std::vector<std::size_t>& unexplained) {
  Scores scores;
  for (std::size_t fault = 0; fault < priors.size(); ++fault) {
    WeighedHypothesis other;
    other.faults = {fault};
    double score = std::log(priors[fault]);
    for (const std::size_t k : unexplained) score += likelihood.log_likelihood(other, k);
    scores.emplace_back(score, fault);
  }
  return best_of(std::move(scores), complements);
}

std::set<std::pair<std::size_t, std::size_t>> likely_pairs(const Proof& proof, const Likelihood& likelihood,
                                                           const std::vector<Observed>& observed,
                                                           const std::vector<double>& priors,
                                                           const std::vector<WeighedHypothesis>& hypotheses) {
  Scores scores;
  for (const WeighedHypothesis& one : hypotheses) {
    if (!one.faults.empty()) scores.emplace_back(one.odds, one.faults[0]);
  }
  const std::vector<std::size_t> likeliest = best_of(std::move(scores), paired);
  std::set<std::pair<std::size_t, std::size_t>> pairs;
  const auto add = [&](std::size_t a, std::size_t b) {
    if (proof.report.faults[a].repair != proof.report.faults[b].repair) pairs.insert(std::minmax(a, b));
  };
  for (std::size_t i = 0; i < likeliest.size(); ++i) {
    for (std::size_t j = i + 1; j < likeliest.size(); ++j) add(likeliest[i], likeliest[j]);
  }
  for (std::size_t i = 0; i < std::min(completed, likeliest.size()); ++i) {
    WeighedHypothesis single;
    single.faults = {likeliest[i]};
    const std::vector<std::size_t> unexplained = outside_of(proof, observed, single);
    if (unexplained.empty()) continue;
    for (const std::size_t other : complements_of(likelihood, priors, unexplained)) add(likeliest[i], other);
  }
  return pairs;
}

// Odds are logarithms until all are known.
void normalise_odds(std::vector<WeighedHypothesis>& hypotheses) {
  double most = hypotheses[0].odds;
  for (const WeighedHypothesis& one : hypotheses) most = std::max(most, one.odds);
  double sum = 0.0;
  for (WeighedHypothesis& one : hypotheses) sum += one.odds = std::exp(one.odds - most);
  std::erase_if(hypotheses, [&](const WeighedHypothesis& one) {
    return !one.faults.empty() && one.odds < forgotten * sum;
  });
  sum = 0.0;
  for (const WeighedHypothesis& one : hypotheses) sum += one.odds;
  for (WeighedHypothesis& one : hypotheses) one.odds /= sum;
}

void number_groups(const Proof& proof, std::vector<WeighedHypothesis>& hypotheses) {
  std::map<std::string, std::size_t> repairs;
  std::vector<std::size_t> repair_of;
  for (const Fault& fault : proof.report.faults)
    repair_of.push_back(repairs.try_emplace(fault.repair, repairs.size()).first->second);
  std::map<std::set<std::size_t>, std::size_t> groups;
  for (WeighedHypothesis& one : hypotheses) {
    std::set<std::size_t> needed;
    for (const std::size_t fault : one.faults) needed.insert(repair_of[fault]);
    one.group = groups.try_emplace(std::move(needed), groups.size()).first->second;
  }
}

// While a reading clearly out of band stands, it is no proof that the meter was misread: "nothing is wrong" stays behind
// the likeliest repair until that reading has been repeated and contradicted.
void hold_back_sound(const Proof& proof, const Likelihood& likelihood, const std::vector<Observed>& observed,
                     std::vector<WeighedHypothesis>& hypotheses) {
  bool out = false;
  for (std::size_t k = 0; k < observed.size() && !out; ++k)
    out = likelihood.is_out_of(k, proof.report.tests[observed[k].test].band);
  if (!out) return;
  std::map<std::string, double> repairs;
  double most = 0.0;
  double sound = 0.0;
  for (const WeighedHypothesis& one : hypotheses) {
    if (one.faults.empty()) sound = one.odds;
    std::set<std::string> needed;
    for (const std::size_t fault : one.faults) needed.insert(proof.report.faults[fault].repair);
    for (const std::string& repair : needed) most = std::max(most, repairs[repair] += one.odds);
  }
  const double allowed = find_figures().sound_at_most * most;
  if (sound <= allowed || sound >= 1.0) return;
  // Of all odds together, with the others in proportion.
  const double kept = allowed / (1.0 - sound + allowed);
  for (WeighedHypothesis& one : hypotheses)
    one.odds = one.faults.empty() ? kept : one.odds * (1.0 - kept) / (1.0 - sound);
}

}  // namespace

SlipReach slip_reach(double value, const std::string& unit) {
  const FindFigures& figures = find_figures();
  const double digits = figures.digit_share * std::abs(value);
  return {digits + (unit == "ohm" ? figures.touch_ohm : 0.0), digits};
}

Prediction shown_under_fault(const Proof& proof, std::size_t fault, std::size_t test) {
  const Band& healthy = proof.report.tests[test].band;
  const Band& own = proof.readings.at(test, fault);
  const double over_range = proof.report.over_range;
  const Band drawn = drawn_from(own, healthy, over_range);
  const bool by_ratio = proof.report.faults[fault].kind == FaultKind::bad_joint && drawn.low > 0.0 &&
                        drawn.high > spans_decades * drawn.low;
  return {overlaps(own, healthy) ? joined(own, healthy) : own, drawn, by_ratio};
}

Prediction shown_under(const Proof& proof, const WeighedHypothesis& hypothesis, std::size_t test) {
  const Band& healthy = proof.report.tests[test].band;
  if (hypothesis.faults.empty())
    return {healthy, drawn_from(healthy, healthy, proof.report.over_range), false};
  const Prediction first = shown_under_fault(proof, hypothesis.faults[0], test);
  if (hypothesis.faults.size() == 1) return first;
  const Prediction second = shown_under_fault(proof, hypothesis.faults[1], test);
  const bool first_shows = !overlaps(first.band, healthy);
  const bool second_shows = !overlaps(second.band, healthy);
  if (first_shows && !second_shows) return first;
  if (second_shows && !first_shows) return second;
  return {joined(first.band, second.band), first.drawn, first.by_ratio};
}

double fit_of(double value, const Band& band, double over_range) {
  if (value >= over_range && band.high >= over_range) return 1.0;
  const double beyond = std::max(band.low - value, value - band.high);
  if (beyond <= 0.0) return 1.0;
  const FindFigures& figures = find_figures();
  const double width = std::isfinite(band.high - band.low) ? band.high - band.low : 0.0;
  const double edge = figures.edge_of_reading * std::abs(value) + figures.edge_of_interval * width;
  const double share = beyond / std::max(edge, 1e-12);
  return std::exp(-share * share);
}

std::vector<std::size_t> outside_of(const Proof& proof, const std::vector<Observed>& observed,
                                    const WeighedHypothesis& hypothesis) {
  std::vector<std::size_t> outside;
  for (std::size_t k = 0; k < observed.size(); ++k) {
    const Band shown = shown_under(proof, hypothesis, observed[k].test).band;
    if (fit_of(observed[k].value, shown, proof.report.over_range) < smallest_fit) outside.push_back(k);
  }
  return outside;
}

std::vector<WeighedHypothesis> weighed_hypotheses(const Proof& proof, const std::vector<Observed>& observed,
                                                  const std::vector<double>& priors,
                                                  const FindOptions& options) {
  const Likelihood likelihood(proof, observed, options);
  const FindFigures& figures = find_figures();
  const double second = options.pairs ? figures.second_fault : 0.0;
  std::vector<WeighedHypothesis> hypotheses(1);
  hypotheses[0].odds = std::log(figures.no_fault) + likelihood.log_weight(hypotheses[0]);
  for (std::size_t fault = 0; fault < priors.size(); ++fault) {
    WeighedHypothesis single;
    single.faults = {fault};
    single.odds = std::log((1.0 - figures.no_fault) * (1.0 - second) * priors[fault]);
    single.odds += likelihood.log_weight(single);
    hypotheses.push_back(std::move(single));
  }
  if (options.pairs) {
    for (const auto& [a, b] : likely_pairs(proof, likelihood, observed, priors, hypotheses)) {
      WeighedHypothesis pair;
      pair.faults = {a, b};
      pair.odds = std::log((1.0 - figures.no_fault) * second * 2.0 * priors[a] * priors[b]);
      pair.odds += likelihood.log_weight(pair);
      hypotheses.push_back(std::move(pair));
    }
  }
  normalise_odds(hypotheses);
  hold_back_sound(proof, likelihood, observed, hypotheses);
  number_groups(proof, hypotheses);
  for (WeighedHypothesis& one : hypotheses) one.outside = outside_of(proof, observed, one);
  return hypotheses;
}

Counted::Counted(const std::vector<WeighedHypothesis>& hypotheses, Which which) {
  double explaining = 0.0;
  for (const WeighedHypothesis& one : hypotheses) explaining += one.outside.empty() ? one.odds : 0.0;
  only_explaining_ = which == Which::explaining && explaining >= enough_explain;
  for (const WeighedHypothesis& one : hypotheses) {
    if (!only_explaining_ || one.outside.empty()) most_ = std::max(most_, one.odds);
    if (one.faults.size() != 1) continue;
    const std::size_t fault = one.faults[0];
    if (fault >= unexplained_.size()) unexplained_.resize(fault + 1, std::numeric_limits<std::size_t>::max());
    unexplained_[fault] = one.outside.size();
  }
}

bool Counted::operator()(const WeighedHypothesis& one) const {
  if (only_explaining_ && !one.outside.empty()) return false;
  if (one.faults.size() < 2) return one.odds >= counts_from * most_;
  return one.odds >= pair_counts_from * most_ && std::ranges::all_of(one.faults, [&](std::size_t fault) {
           return fault >= unexplained_.size() || one.outside.size() < unexplained_[fault];
         });
}

double entropy_of(const std::vector<WeighedHypothesis>& hypotheses) {
  const Counted counts(hypotheses);
  std::vector<double> mass;
  double sum = 0.0;
  for (const WeighedHypothesis& one : hypotheses) {
    if (!counts(one)) continue;
    sum += one.odds;
    if (one.group >= mass.size()) mass.resize(one.group + 1);
    mass[one.group] += one.odds;
  }
  double entropy = 0.0;
  for (const double share : mass) {
    if (share > 0.0) entropy -= share / sum * std::log2(share / sum);
  }
  return std::max(entropy, 0.0);
}

}  // namespace loomgraft::find
