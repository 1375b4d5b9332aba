// The expected entropy after each test: every hypothesis draws its reading from its interval, and those whose interval
// contains that reading remain, the others with the odds of a misreading. Between two ends of intervals the same
// hypotheses remain, so it is a sum over the stretches between ends, from the lowest to the highest. Most hypotheses
// show the same, so a test starts from the entropy of all and counts again only the groups with a member that shows
// something else. Quick tests come first: once even the whole entropy would be too little for the minutes, the rest is
// skipped.
#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <set>

#include "base/parallel.h"
#include "base/stop.h"
#include "find/odds_internal.h"

namespace loomgraft::find {
namespace {

constexpr std::size_t round_of_tests = 64;

// Ends of intervals that differ by so little of their width decide nothing: a digit more or less.
constexpr double blurred = 0.1;
// Ends of intervals are about the same within a step: a fifth of their size, or a hundredth of an ohm or volt near zero.
constexpr double steps_per_e_fold = 5.0;
constexpr double smallest_end = 0.05;
constexpr double largest_width = 1e9;  // keeps intervals without an end finite on the other one

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
                              std::bit_cast<std::uint64_t>(shown.band.high) * 0xC2B2AE3D27D4EB4FU ^
                              std::bit_cast<std::uint64_t>(shown.drawn.low) * 0x165667B19E3779F9U ^
                              std::bit_cast<std::uint64_t>(shown.drawn.high) * 0x27D4EB2F165667C5U;
  return mixed ^ mixed >> 29U;
}

class Expectation {
 public:
  // `remains`: share of its odds that a hypothesis keeps if the reading is outside its interval.
  Expectation(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses, Counted::Which which,
              double remains)
      : proof_(proof) {
    const Counted counts(hypotheses, which);
    // Where only those count that explain every reading, what a reading contradicts counts no longer.
    remains_ = counts.only_explaining() ? 0.0 : remains;
    double sum = 0.0;
    std::size_t groups = 0;
    for (const WeighedHypothesis& one : hypotheses) {
      if (!counts(one)) continue;
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

  // Patterns in which a new test tells nothing, since a test with the same one was measured.
  void note_measured(const std::vector<std::size_t>& tests) {
    for (const std::size_t test : tests) {
      show(PossibleTest{test});
      measured_.insert(pattern());
    }
  }

  double bits_of(const PossibleTest& one) {
    show(one);
    if (one.reason == NextReason::information && measured_.contains(pattern())) return 0.0;
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

  void show(const PossibleTest& one) {
    for (std::size_t k = 0; k < live_.size(); ++k) {
      Prediction& shown = shown_[k] = shown_under(proof_, *live_[k], one.test);
      const bool fits = one.before >= shown.band.low && one.before <= shown.band.high;
      if (one.reason == NextReason::repeat && fits) shown = {shown.band, {one.before, one.before}, false};
    }
  }

  // Which of the suspects show about the same as which others.
  std::uint64_t pattern() const {
    const auto step_of = [](double end) {
      return std::isfinite(end) ? std::llround(steps_per_e_fold * std::asinh(end / smallest_end)) : 1000;
    };
    std::map<std::pair<long long, long long>, std::uint64_t> classes;
    std::uint64_t hash = 0;
    for (const Prediction& shown : shown_) {
      const std::pair ends(step_of(shown.band.low), step_of(shown.band.high));
      const std::uint64_t number = classes.try_emplace(ends, classes.size() + 1).first->second;
      hash = (hash ^ number) * 0x9E3779B97F4A7C15U;
      hash ^= hash >> 29U;
    }
    return hash;
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

  // What remains of groups of which nothing shows another interval, if the common one does not contain the reading.
  double faded_terms() const {
    return remains_ > 0.0 ? remains_ * (untouched_terms_ + std::log2(remains_) * untouched_mass_) : 0.0;
  }

  double remaining(std::size_t group) const {
    const double inside = active_[group] + (common_on_ ? common_part(group) : 0.0);
    return inside + remains_ * std::max(0.0, whole_[group] - inside);
  }

  void switch_common(bool on) {
    common_on_ = on;
    mass_ = on ? untouched_mass_ : remains_ * untouched_mass_;
    terms_ = on ? untouched_terms_ : faded_terms();
    for (const std::size_t group : touched_) {
      const double mass = remaining(group);
      mass_ += mass;
      terms_ += term_[group] = entropy_term(mass);
    }
  }

  void turn(const Class& one, bool on) {
    for (std::uint32_t m = one.begin; m < one.end; ++m) {
      const std::size_t group = live_[members_[m]]->group;
      terms_ -= term_[group];
      mass_ -= remaining(group);
      const double odds = odds_[members_[m]];
      active_[group] += on ? odds : -odds;
      if (active_[group] < 1e-14) active_[group] = 0.0;
      const double mass = remaining(group);
      mass_ += mass;
      terms_ += term_[group] = entropy_term(mass);
    }
  }

  double entropy() const { return mass_ > 1e-14 ? std::max(0.0, std::log2(mass_) - terms_ / mass_) : 0.0; }

  // Where something changes on the way from the lowest reading to the highest. At one place intervals start before
  // single readings are counted, and end after them.
  enum class Step : std::uint8_t { starts, single, ends, drawn_from, drawn_to };
  struct End {
    double at = 0.0;
    Step step = Step::starts;
    std::uint32_t of = 0;  // class
    bool operator<(const End& other) const {
      if (at != other.at) return at < other.at;
      return step != other.step ? step < other.step : of < other.of;
    }
  };

  void note_ends(std::uint32_t k) {
    const Prediction& shown = classes_[k].shown;
    const double blur = blurred * std::min(shown.band.high - shown.band.low, largest_width);
    ends_.push_back({shown.band.low - blur, Step::starts, k});
    ends_.push_back({shown.band.high + blur, Step::ends, k});
    if (is_single(shown)) {
      ends_.push_back({0.5 * (shown.drawn.low + shown.drawn.high), Step::single, k});
      return;
    }
    ends_.push_back({shown.drawn.low, Step::drawn_from, k});
    ends_.push_back({shown.drawn.high, Step::drawn_to, k});
  }

  static bool is_single(const Prediction& shown) {
    return shown.drawn.high - shown.drawn.low <= 1e-9 * std::abs(shown.drawn.high);
  }

  // Readings drawn per unit of the reading, and per unit of its logarithm.
  struct Density {
    double even = 0.0, by_ratio = 0.0;
    int evens = 0, ratios = 0;  // classes in it: with none it is zero to the last bit

    void turn(const Class& one, bool on) {
      const Band& drawn = one.shown.drawn;
      const double sign = on ? 1.0 : -1.0;
      if (one.shown.by_ratio) {
        ratios += on ? 1 : -1;
        by_ratio = ratios > 0 ? by_ratio + sign * one.mass / std::log(drawn.high / drawn.low) : 0.0;
      } else {
        evens += on ? 1 : -1;
        even = evens > 0 ? even + sign * one.mass / (drawn.high - drawn.low) : 0.0;
      }
    }
    double between(double low, double high) const {
      const double mass =
          (evens > 0 ? even * (high - low) : 0.0) + (ratios > 0 ? by_ratio * std::log(high / low) : 0.0);
      return std::max(0.0, mass);
    }
  };

  double expected_entropy() {
    const std::size_t common = classes_.size();
    classes_.push_back({common_, common_mass_, 0, 0});
    ends_.clear();
    for (std::uint32_t k = 0; k < classes_.size(); ++k) note_ends(k);
    std::sort(ends_.begin(), ends_.end());
    const auto turn_on = [&](std::uint32_t k, bool on) {
      k == common ? switch_common(on) : turn(classes_[k], on);
    };
    switch_common(false);
    Density density;
    double after = 0.0;
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      const End& end = ends_[k];
      const Class& of = classes_[end.of];
      if (end.step == Step::starts) turn_on(end.of, true);
      if (end.step == Step::ends) turn_on(end.of, false);
      if (end.step == Step::single) after += of.mass * entropy();
      if (end.step == Step::drawn_from || end.step == Step::drawn_to)
        density.turn(of, end.step == Step::drawn_from);
      const bool drawn = density.evens + density.ratios > 0;
      if (drawn && ends_[k + 1].at > end.at) after += density.between(end.at, ends_[k + 1].at) * entropy();
    }
    return after;
  }

  struct Slot {
    std::uint32_t round = 0, at = 0, number = 0;
  };

  const Proof& proof_;
  std::set<std::uint64_t> measured_;
  double remains_ = 0.0;
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
  std::vector<End> ends_;
  std::vector<std::size_t> touched_;
  std::vector<Class> classes_;
  std::vector<Slot> slots_;
  std::uint32_t round_ = 0;
};

// New tests and repeats are counted over different hypotheses.
struct Worker {
  Expectation fresh;
  Expectation again;

  double bits_of(const PossibleTest& one) {
    return (one.reason == NextReason::information ? fresh : again).bits_of(one);
  }
};

}  // namespace

std::vector<NextTest> most_informative(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                       std::vector<PossibleTest> candidates, double smallest,
                                       std::size_t count, double misread, const StopToken& stop,
                                       const std::vector<std::size_t>& measured) {
  std::ranges::stable_sort(candidates, {}, &PossibleTest::minutes);
  const double misread_again = misread > 0.0 ? find_figures().gross_again : 0.0;
  Worker worker{Expectation(proof, hypotheses, Counted::Which::explaining, misread),
                Expectation(proof, hypotheses, Counted::Which::all, misread_again)};
  worker.fresh.note_measured(measured);
  const double most_bits = std::max(worker.fresh.entropy_before(), worker.again.entropy_before());
  std::vector<Worker> workers(std::min(cores(), candidates.size()), worker);
  std::vector<NextTest> best;
  for (std::size_t from = 0; from < candidates.size() && !stop.stop_requested(); from += round_of_tests) {
    // No test gives more bits than the entropy.
    if (best.size() == count && most_bits / candidates[from].minutes < rate(best.back())) break;
    const std::size_t some = std::min(round_of_tests, candidates.size() - from);
    std::vector<NextTest> evaluated(some);
    parallel_for(workers.size(), [&](std::size_t number) {
      for (std::size_t k = number; k < some; k += workers.size()) {
        const PossibleTest& one = candidates[from + k];
        evaluated[k] = {one.test, workers[number].bits_of(one), one.minutes, {}, one.reason};
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
