// The expected entropy after each test: every hypothesis predicts its most likely reading, and those whose interval
// contains that reading remain. Most hypotheses predict the same, so a test starts from the entropy of all and counts
// again only the groups with a member that predicts something else. Quick tests come first: once even the whole
// entropy would be too little for the minutes, the rest is skipped.
#include <algorithm>
#include <bit>
#include <cmath>

#include "base/parallel.h"
#include "base/stop.h"
#include "find/odds_internal.h"

namespace loomgraft::find {
namespace {

// Hypotheses less likely than the likeliest by this factor do not choose the next test. Any fault may have a second
// one beside it; only pairs that explain what one fault does not are worth a test.
constexpr double counts_from = 1e-3;
constexpr double pair_counts_from = 2e-2;

constexpr std::size_t round_of_tests = 64;

double rate(const NextTest& one) {
  return one.bits / one.minutes;
}

bool is_better(const NextTest& a, const NextTest& b) {
  return rate(a) != rate(b) ? rate(a) > rate(b) : a.test < b.test;
}

double entropy_term(double mass) {
  return mass > 0.0 ? mass * std::log2(mass) : 0.0;
}

std::uint64_t hash_of(const Prediction& shown) {
  const std::uint64_t mixed = std::bit_cast<std::uint64_t>(shown.band.low) * 0x9E3779B97F4A7C15U ^
                              std::bit_cast<std::uint64_t>(shown.band.high) * 0xC2B2AE3D27D4EB4FU;
  return mixed ^ mixed >> 29U;
}

class Expectation {
 public:
  Expectation(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses) : proof_(proof) {
    double most = 0.0;
    for (const WeighedHypothesis& one : hypotheses) most = std::max(most, one.odds);
    double sum = 0.0;
    std::size_t groups = 0;
    for (const WeighedHypothesis& one : hypotheses) {
      if (one.odds < (one.faults.size() > 1 ? pair_counts_from : counts_from) * most) continue;
      live_.push_back(&one);
      sum += one.odds;
      groups = std::max(groups, one.group + 1);
    }
    whole_.resize(groups);
    others_.resize(groups);
    active_.resize(groups);
    term_.resize(groups);
    for (const WeighedHypothesis* one : live_) {
      odds_.push_back(one->odds / sum);
      whole_[one->group] += odds_.back();
    }
    for (const double mass : whole_) whole_terms_ += entropy_term(mass);
    shown_.resize(live_.size());
    slots_.resize(std::bit_ceil(4 * live_.size() + 4));
  }

  double entropy_before() const { return std::max(0.0, -whole_terms_); }

  double bits_of(std::size_t test) {
    show(test);
    find_common();
    if (others_at_.empty()) return 0.0;
    prepare_groups();
    const double bits = -whole_terms_ - expected_entropy();
    for (const std::size_t group : touched_) others_[group] = active_[group] = term_[group] = 0.0;
    return std::max(0.0, bits);
  }

 private:
  struct Class {
    Prediction shown;
    double mass = 0.0;
    std::uint32_t begin = 0, end = 0;  // in members_
  };

  void show(std::size_t test) {
    for (std::size_t k = 0; k < live_.size(); ++k) shown_[k] = shown_under(proof_, *live_[k], test);
  }

  // The interval that most show, by the majority vote of Boyer and Moore; then those that show another, by interval.
  void find_common() {
    std::size_t chosen = 0;
    std::size_t votes = 0;
    for (std::size_t k = 0; k < shown_.size(); ++k) {
      if (votes == 0) chosen = k;
      shown_[k] == shown_[chosen] ? ++votes : --votes;
    }
    common_ = shown_[chosen];
    others_at_.clear();
    for (std::size_t k = 0; k < shown_.size(); ++k) {
      if (!(shown_[k] == common_)) others_at_.push_back(static_cast<std::uint32_t>(k));
    }
    classify();
  }

  void classify() {
    ++round_;
    classes_.clear();
    class_of_.clear();
    for (const std::uint32_t k : others_at_) {
      std::size_t slot = hash_of(shown_[k]) & (slots_.size() - 1);
      while (slots_[slot].round == round_ && !(shown_[slots_[slot].at] == shown_[k]))
        slot = (slot + 1) & (slots_.size() - 1);
      if (slots_[slot].round != round_) {
        slots_[slot] = {round_, k, static_cast<std::uint32_t>(classes_.size())};
        classes_.push_back({shown_[k], 0.0, 0, 0});
      }
      Class& found = classes_[slots_[slot].number];
      class_of_.push_back(slots_[slot].number);
      found.mass += odds_[k];
      ++found.end;
    }
    std::uint32_t begin = 0;
    for (Class& one : classes_) {
      const std::uint32_t count = one.end;
      one.begin = one.end = begin;
      begin += count;
    }
    members_.resize(others_at_.size());
    for (std::size_t k = 0; k < others_at_.size(); ++k)
      members_[classes_[class_of_[k]].end++] = others_at_[k];
  }

  // Groups that have a member among the others; the rest depend on the common interval alone.
  void prepare_groups() {
    touched_.clear();
    double others = 0.0;
    for (const std::uint32_t k : others_at_) {
      const std::size_t group = live_[k]->group;
      if (others_[group] == 0.0) touched_.push_back(group);
      others_[group] += odds_[k];
      others += odds_[k];
    }
    untouched_mass_ = 1.0;
    untouched_terms_ = whole_terms_;
    for (const std::size_t group : touched_) {
      untouched_mass_ -= whole_[group];
      untouched_terms_ -= entropy_term(whole_[group]);
    }
    untouched_mass_ = std::max(untouched_mass_, 0.0);
    common_mass_ = std::max(1.0 - others, 0.0);
    common_on_ = false;
    mass_ = terms_ = 0.0;
  }

  // The part of a group that shows the common interval; what rounding leaves counts as zero.
  double common_part(std::size_t group) const {
    const double part = whole_[group] - others_[group];
    return part > 1e-13 ? part : 0.0;
  }

  void switch_common(bool on) {
    common_on_ = on;
    mass_ = on ? untouched_mass_ : 0.0;
    terms_ = on ? untouched_terms_ : 0.0;
    for (const std::size_t group : touched_) {
      const double mass = active_[group] + (on ? common_part(group) : 0.0);
      mass_ += mass;
      terms_ += term_[group] = entropy_term(mass);
    }
  }

  void turn(const Class& one, bool on) {
    for (std::uint32_t m = one.begin; m < one.end; ++m) {
      const std::size_t group = live_[members_[m]]->group;
      const double common = common_on_ ? common_part(group) : 0.0;
      terms_ -= term_[group];
      const double odds = odds_[members_[m]];
      active_[group] += on ? odds : -odds;
      if (active_[group] < 1e-14) active_[group] = 0.0;
      terms_ += term_[group] = entropy_term(active_[group] + common);
      mass_ += on ? odds : -odds;
    }
  }

  double entropy() const { return mass_ > 1e-14 ? std::max(0.0, std::log2(mass_) - terms_ / mass_) : 0.0; }

  using Ends = std::vector<std::pair<double, std::uint32_t>>;  // where, and of which class

  // From the lowest to the highest likely reading, with those switched on whose interval contains it.
  double expected_entropy() {
    const std::size_t common = classes_.size();
    classes_.push_back({common_, common_mass_, 0, 0});
    starts_.clear();
    ends_.clear();
    readings_.clear();
    for (std::uint32_t k = 0; k < classes_.size(); ++k) {
      starts_.emplace_back(classes_[k].shown.band.low, k);
      ends_.emplace_back(classes_[k].shown.band.high, k);
      readings_.emplace_back(classes_[k].shown.likely, k);
    }
    for (Ends* ends : {&starts_, &ends_, &readings_}) std::ranges::sort(*ends);
    const auto turn_on = [&](std::uint32_t k, bool on) {
      k == common ? switch_common(on) : turn(classes_[k], on);
    };
    double after = 0.0;
    std::size_t start = 0;
    std::size_t end = 0;
    for (const auto& [at, reading] : readings_) {
      for (; start < starts_.size() && starts_[start].first <= at; ++start)
        turn_on(starts_[start].second, true);
      for (; end < ends_.size() && ends_[end].first < at; ++end) turn_on(ends_[end].second, false);
      after += classes_[reading].mass * entropy();
    }
    return after;
  }

  struct Slot {
    std::uint32_t round = 0, at = 0, number = 0;
  };

  const Proof& proof_;
  std::vector<const WeighedHypothesis*> live_;
  std::vector<double> odds_;            // of the live ones, together 1
  std::vector<double> whole_, others_;  // by group: all, and those that show another interval
  std::vector<double> term_;            // by group: its p log2 p of what is switched on
  std::vector<double> active_;          // by group: others whose interval contains the reading
  double whole_terms_ = 0.0;            // sum of p log2 p over groups
  std::vector<Prediction> shown_;       // by live hypothesis
  Prediction common_;
  double common_mass_ = 0.0, untouched_mass_ = 0.0, untouched_terms_ = 0.0;
  bool common_on_ = false;
  double mass_ = 0.0, terms_ = 0.0;  // of what is switched on
  std::vector<std::uint32_t> others_at_, class_of_, members_;
  Ends starts_, ends_, readings_;
  std::vector<std::size_t> touched_;
  std::vector<Class> classes_;
  std::vector<Slot> slots_;
  std::uint32_t round_ = 0;
};

}  // namespace

std::vector<NextTest> most_informative(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                       std::vector<PossibleTest> candidates, double smallest,
                                       std::size_t count, const StopToken& stop) {
  std::ranges::stable_sort(candidates, {}, &PossibleTest::minutes);
  std::vector<Expectation> workers(std::min(cores(), candidates.size()), Expectation(proof, hypotheses));
  std::vector<NextTest> best;
  for (std::size_t from = 0; from < candidates.size() && !stop.stop_requested(); from += round_of_tests) {
    // No test gives more bits than the entropy.
    if (best.size() == count && workers[0].entropy_before() / candidates[from].minutes < rate(best.back()))
      break;
    const std::size_t some = std::min(round_of_tests, candidates.size() - from);
    std::vector<NextTest> evaluated(some);
    parallel_for(workers.size(), [&](std::size_t worker) {
      for (std::size_t k = worker; k < some; k += workers.size()) {
        const PossibleTest& one = candidates[from + k];
        evaluated[k] = {one.test, workers[worker].bits_of(one.test), one.minutes, {}};
      }
    });
    std::ranges::copy_if(evaluated, std::back_inserter(best),
                         [&](const NextTest& one) { return one.bits >= smallest; });
    std::ranges::sort(best, is_better);
    best.resize(std::min(best.size(), count));
  }
  return best;
}

}  // namespace loomgraft::find
