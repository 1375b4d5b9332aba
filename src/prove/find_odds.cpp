#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "prove/find_odds_internal.h"

namespace loomgraft {
namespace {

// Odds before any reading that a loom just built has nothing wrong, and that a second mistake comes on top of
// a first (common practice, no source: most new work has at most one).
constexpr double all_well_prior = 0.5;
constexpr double second_fault = 0.1;
// So many of the likeliest single faults are taken in pairs.
constexpr std::size_t paired = 48;
constexpr double forgotten = 1e-9;  // share of the whole below which a suspicion no longer counts

double last_digits(double value, const std::string& unit) {
  if (unit == "ohm") return 0.1 + 0.005 * std::abs(value);
  return 0.005 + 0.005 * std::abs(value);
}

bool overlaps(const Band& a, const Band& b) {
  return a.low <= b.high && b.low <= a.high;
}

// Readings of one kind in the order of their ids: a sum in another order would differ in its last bit.
double weigh(const Proof& proof, const std::vector<Observed>& observed, double misread,
             Suspicion& suspicion) {
  double log_weight = 0.0;
  for (std::size_t k = 0; k < observed.size(); ++k) {
    const ProveTest& test = proof.report.tests[observed[k].test];
    const double fit = fit_of(observed[k].value, shown_under(proof, suspicion, observed[k].test), test.unit);
    if (fit < 0.5) suspicion.outside.push_back(k);
    log_weight += std::log(std::max(fit, misread));
  }
  return log_weight;
}

std::vector<std::size_t> likeliest(const std::vector<Suspicion>& singles, std::size_t most) {
  std::vector<std::size_t> order;
  for (std::size_t k = 0; k < singles.size(); ++k) {
    if (!singles[k].faults.empty()) order.push_back(k);
  }
  std::ranges::stable_sort(order,
                           [&](std::size_t a, std::size_t b) { return singles[a].odds > singles[b].odds; });
  order.resize(std::min(order.size(), most));
  return order;
}

// Odds are kept as logarithms until all are known.
void settle_odds(std::vector<Suspicion>& suspicions) {
  double most = -1e300;
  for (const Suspicion& one : suspicions) most = std::max(most, one.odds);
  double sum = 0.0;
  for (Suspicion& one : suspicions) sum += one.odds = std::exp(one.odds - most);
  std::erase_if(suspicions,
                [&](const Suspicion& one) { return !one.faults.empty() && one.odds < forgotten * sum; });
  sum = 0.0;
  for (const Suspicion& one : suspicions) sum += one.odds;
  for (Suspicion& one : suspicions) one.odds /= sum;
}

void number_groups(const Proof& proof, std::vector<Suspicion>& suspicions) {
  std::map<std::string, std::size_t> groups;
  for (Suspicion& one : suspicions) {
    std::string key;
    for (const std::size_t fault : one.faults) key += proof.report.faults[fault].repair + "\n";
    one.group = groups.try_emplace(key, groups.size()).first->second;
  }
}

void add_pairs(const Proof& proof, const std::vector<Observed>& observed, const std::vector<double>& priors,
               const FindOptions& options, std::vector<Suspicion>& suspicions) {
  const std::vector<std::size_t> first = likeliest(suspicions, paired);
  for (std::size_t i = 0; i < first.size(); ++i) {
    for (std::size_t j = i + 1; j < first.size(); ++j) {
      const auto [a, b] = std::minmax(suspicions[first[i]].faults[0], suspicions[first[j]].faults[0]);
      if (proof.report.faults[a].repair == proof.report.faults[b].repair) continue;
      Suspicion pair;
      pair.faults = {a, b};
      pair.odds = std::log((1.0 - all_well_prior) * second_fault * 2.0 * priors[a] * priors[b]);
      pair.odds += weigh(proof, observed, options.misread, pair);
      suspicions.push_back(std::move(pair));
    }
  }
}

}  // namespace

Band shown_under(const Proof& proof, const Suspicion& suspicion, std::size_t test) {
  const Band& healthy = proof.report.tests[test].band;
  if (suspicion.faults.empty()) return healthy;
  const Band& first = proof.readings.at(test, suspicion.faults[0]);
  if (suspicion.faults.size() == 1) return first;
  const Band& second = proof.readings.at(test, suspicion.faults[1]);
  const bool first_shows = !overlaps(first, healthy);
  const bool second_shows = !overlaps(second, healthy);
  if (first_shows && !second_shows) return first;
  if (second_shows && !first_shows) return second;
  return {std::min(first.low, second.low), std::max(first.high, second.high)};
}

double fit_of(double value, const Band& band, const std::string& unit) {
  const bool over = unit == "ohm" && value >= over_range_ohms;
  if (over && band.high >= over_range_ohms) return 1.0;
  const double beyond = std::max(band.low - value, value - band.high);
  if (beyond <= 0.0) return 1.0;
  const double digits = beyond / last_digits(value, unit);
  return std::exp(-digits * digits);
}

std::vector<Suspicion> suspicions_of(const Proof& proof, const std::vector<Observed>& observed,
                                     const std::vector<double>& priors, const FindOptions& options) {
  std::vector<Suspicion> suspicions(1);
  suspicions[0].odds = std::log(all_well_prior) + weigh(proof, observed, options.misread, suspicions[0]);
  for (std::size_t fault = 0; fault < priors.size(); ++fault) {
    Suspicion single;
    single.faults = {fault};
    single.odds = std::log((1.0 - all_well_prior) * priors[fault]);
    single.odds += weigh(proof, observed, options.misread, single);
    suspicions.push_back(std::move(single));
  }
  if (options.pairs) add_pairs(proof, observed, priors, options, suspicions);
  settle_odds(suspicions);
  number_groups(proof, suspicions);
  return suspicions;
}

double entropy_of(const std::vector<Suspicion>& suspicions, std::size_t groups) {
  std::vector<double> mass(groups, 0.0);
  for (const Suspicion& one : suspicions) mass[one.group] += one.odds;
  double entropy = 0.0;
  for (const double share : mass) {
    if (share > 0.0) entropy -= share * std::log2(share);
  }
  return entropy;
}

namespace {

// Suspicions under which the test shows one and the same interval.
struct Outcome {
  Band band;
  double odds = 0.0;
  std::vector<std::size_t> members;
};

std::vector<Outcome> outcomes_of(const Proof& proof, const std::vector<Suspicion>& suspicions,
                                 std::size_t test) {
  std::map<std::pair<double, double>, std::size_t> known;
  std::vector<Outcome> outcomes;
  for (std::size_t k = 0; k < suspicions.size(); ++k) {
    const Band band = shown_under(proof, suspicions[k], test);
    const auto [found, is_new] = known.try_emplace({band.low, band.high}, outcomes.size());
    if (is_new) outcomes.push_back({band, 0.0, {}});
    outcomes[found->second].odds += suspicions[k].odds;
    outcomes[found->second].members.push_back(k);
  }
  return outcomes;
}

double representative(const Band& band) {
  if (band.high >= over_range_ohms) return std::max(band.low, over_range_ohms);
  return 0.5 * (band.low + band.high);
}

}  // namespace

double bits_of_test(const Proof& proof, const std::vector<Suspicion>& suspicions, std::size_t groups,
                    std::size_t test) {
  const std::vector<Outcome> outcomes = outcomes_of(proof, suspicions, test);
  if (outcomes.size() < 2) return 0.0;
  const std::string& unit = proof.report.tests[test].unit;
  std::vector<double> mass(groups, 0.0);
  double after = 0.0;
  for (const Outcome& outcome : outcomes) {
    const double value = representative(outcome.band);
    double sum = 0.0;
    std::vector<std::size_t> met;
    for (const Outcome& other : outcomes) {
      if (fit_of(value, other.band, unit) < 0.5) continue;
      for (const std::size_t k : other.members) {
        double& share = mass[suspicions[k].group];
        if (share == 0.0) met.push_back(suspicions[k].group);
        share += suspicions[k].odds;
        sum += suspicions[k].odds;
      }
    }
    double entropy = 0.0;
    for (const std::size_t group : met) {
      if (mass[group] > 0.0) entropy -= mass[group] / sum * std::log2(mass[group] / sum);
      mass[group] = 0.0;
    }
    after += outcome.odds * entropy;
  }
  return std::max(0.0, entropy_of(suspicions, groups) - after);
}

}  // namespace loomgraft
