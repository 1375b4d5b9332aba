// A good choice to begin with: greedily the test that exposes most per minute; then exchanges while they pay.
#include <algorithm>
#include <limits>

#include "setcover/cover_internal.h"

namespace loomgraft::setcover {
namespace {

class Choice {
 public:
  // Both outlive the choice, and its copies.
  Choice(const CoverProblem& problem, const std::vector<std::vector<std::uint32_t>>& tests_of)
      : problem_(&problem),
        tests_of_(&tests_of),
        chosen_(problem.tests.size()),
        times_exposed_(problem.faults),
        times_used_(problem.setup_minutes.size()),
        barred_(problem.setup_minutes.size()),
        open_(problem.faults) {}

  double minutes() const {
    double sum = 0.0;
    for (std::size_t test = 0; test < chosen_.size(); ++test) {
      if (chosen_[test]) sum += problem_->tests[test].minutes;
    }
    for (std::size_t setup = 0; setup < times_used_.size(); ++setup) {
      if (times_used_[setup] > 0) sum += problem_->setup_minutes[setup];
    }
    return sum;
  }

  void bar(std::size_t setup, bool barred) { barred_[setup] = barred; }
  bool uses(std::size_t setup) const { return times_used_[setup] > 0; }
  bool has(std::size_t test) const { return chosen_[test]; }

  void take(std::size_t test) { change(test, true); }
  void drop(std::size_t test) { change(test, false); }

  void drop_all_of(std::size_t setup) {
    for (std::size_t test = 0; test < chosen_.size(); ++test) {
      if (chosen_[test] && std::ranges::count(problem_->tests[test].setups, setup) > 0) drop(test);
    }
  }

  // Exposes what is not exposed yet; false if that needs a barred set-up.
  bool fill() {
    std::vector<std::size_t> gains = first_gains();
    while (open_ > 0) {
      std::size_t best = chosen_.size();
      double best_price = std::numeric_limits<double>::infinity();
      for (std::size_t test = 0; test < chosen_.size(); ++test) {
        if (gains[test] == 0 || is_barred(test)) continue;
        const double price = price_of(test) / static_cast<double>(gains[test]);
        if (price < best_price) {
          best_price = price;
          best = test;
        }
      }
      if (best == chosen_.size()) return false;
      for (const std::uint32_t fault : problem_->tests[best].exposes) {
        if (times_exposed_[fault] > 0) continue;
        for (const std::uint32_t other : (*tests_of_)[fault]) --gains[other];
      }
      take(best);
    }
    return true;
  }

  // Drops redundant tests, the most expensive first.
  void drop_superfluous() {
    std::vector<std::size_t> order;
    for (std::size_t test = 0; test < chosen_.size(); ++test) {
      if (chosen_[test]) order.push_back(test);
    }
    std::ranges::stable_sort(order, std::greater{},
                             [&](std::size_t test) { return minutes_with_setups(test, 1); });
    for (const std::size_t test : order) {
      const auto& exposes = problem_->tests[test].exposes;
      if (std::ranges::all_of(exposes, [&](std::uint32_t fault) { return times_exposed_[fault] > 1; }))
        drop(test);
    }
  }

  std::vector<std::size_t> tests() const {
    std::vector<std::size_t> list;
    for (std::size_t test = 0; test < chosen_.size(); ++test) {
      if (chosen_[test]) list.push_back(test);
    }
    return list;
  }

 private:
  void change(std::size_t test, bool in) {
    if (chosen_[test] == in) return;
    chosen_[test] = in;
    const CoverTest& one = problem_->tests[test];
    for (const std::uint32_t setup : one.setups) times_used_[setup] += in ? 1 : -1;
    for (const std::uint32_t fault : one.exposes) {
      if (in && times_exposed_[fault]++ == 0) --open_;
      if (!in && --times_exposed_[fault] == 0) ++open_;
    }
  }

  bool is_barred(std::size_t test) const {
    return std::ranges::any_of(problem_->tests[test].setups,
                               [&](std::uint32_t setup) { return barred_[setup]; });
  }

  // Minutes of a test with those of its set-ups that exactly `used` chosen tests use.
  double minutes_with_setups(std::size_t test, int used) const {
    const CoverTest& one = problem_->tests[test];
    double sum = one.minutes;
    for (const std::uint32_t setup : one.setups) {
      if (times_used_[setup] == used) sum += problem_->setup_minutes[setup];
    }
    return sum;
  }

  // A free test counts as almost free, so that the rate stays finite.
  double price_of(std::size_t test) const { return std::max(1e-6, minutes_with_setups(test, 0)); }

  std::vector<std::size_t> first_gains() const {
    std::vector<std::size_t> gains(chosen_.size());
    for (std::size_t fault = 0; fault < tests_of_->size(); ++fault) {
      if (times_exposed_[fault] > 0) continue;
      for (const std::uint32_t test : (*tests_of_)[fault]) ++gains[test];
    }
    return gains;
  }

  const CoverProblem* problem_;
  const std::vector<std::vector<std::uint32_t>>* tests_of_;
  std::vector<bool> chosen_;
  std::vector<int> times_exposed_;
  std::vector<int> times_used_;
  std::vector<bool> barred_;
  std::size_t open_;
};

constexpr double worth_it = 1e-9;  // minutes; less is rounding

// Tries the choice without each set-up.
bool do_without(const CoverProblem& problem, Choice& choice) {
  bool moved = false;
  for (std::size_t setup = 0; setup < problem.setup_minutes.size(); ++setup) {
    if (!choice.uses(setup)) continue;
    Choice other = choice;
    other.drop_all_of(setup);
    other.bar(setup, true);
    if (!other.fill()) continue;
    other.drop_superfluous();
    other.bar(setup, false);
    if (other.minutes() > choice.minutes() - worth_it) continue;
    choice = std::move(other);
    moved = true;
  }
  return moved;
}

// Adds one test if it makes more expensive ones redundant. Bounded: a round tries so many.
bool exchange_tests(const CoverProblem& problem, Choice& choice) {
  constexpr std::size_t at_most = 2000;
  bool moved = false;
  for (std::size_t test = 0; test < std::min(at_most, problem.tests.size()); ++test) {
    if (choice.has(test) || problem.tests[test].exposes.size() < 2) continue;
    const bool dear = std::ranges::any_of(problem.tests[test].setups, [&](std::uint32_t setup) {
      return !choice.uses(setup) && problem.setup_minutes[setup] > 0;
    });
    if (dear) continue;
    Choice other = choice;
    other.take(test);
    other.drop_superfluous();
    if (other.minutes() > choice.minutes() - worth_it) continue;
    choice = std::move(other);
    moved = true;
  }
  return moved;
}

}  // namespace

std::vector<std::size_t> cover_start(const CoverProblem& problem) {
  const auto tests_of = exposed_by(problem);
  Choice choice(problem, tests_of);
  choice.fill();
  choice.drop_superfluous();
  constexpr int rounds = 3;
  for (int round = 0; round < rounds; ++round) {
    const bool fewer = do_without(problem, choice);
    if (!exchange_tests(problem, choice) && !fewer) break;
  }
  return choice.tests();
}

}  // namespace loomgraft::setcover
