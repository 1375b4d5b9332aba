// What can be left out of a cover without losing its cheapest choice: faults exposed wherever another is, tests that
// another replaces at no higher cost, and tests without an alternative, which are fixed. Each removal may allow the
// next, so they are repeated until nothing changes.
#include <algorithm>
#include <map>

#include "setcover/cover_internal.h"

namespace loomgraft::setcover {
namespace {

class Reduction {
 public:
  explicit Reduction(const CoverProblem& problem)
      : problem_(problem), setup_minutes_(problem.setup_minutes), tests_of_(exposed_by(problem)) {
    for (const CoverTest& test : problem.tests) {
      test_bits_.emplace_back(problem.faults);
      for (const std::uint32_t fault : test.exposes) test_bits_.back().set(fault);
    }
    for (std::size_t fault = 0; fault < problem.faults; ++fault) {
      fault_bits_.emplace_back(problem.tests.size());
      for (const std::uint32_t test : tests_of_[fault]) fault_bits_.back().set(test);
    }
    fault_left_.resize(problem.faults);
    for (std::size_t fault = 0; fault < problem.faults; ++fault)
      fault_left_[fault] = !tests_of_[fault].empty();
    test_left_.assign(problem.tests.size(), true);
  }

  std::vector<bool> undominated() {
    shrink();
    drop_tests();
    return test_left_;
  }

  ReducedCover run() {
    drop_equal_faults();
    bool moved = true;
    while (moved) {
      shrink();
      moved = drop_tests();
      shrink();
      moved = drop_faults() || moved;
      moved = force_tests() || moved;
    }
    return result();
  }

 private:
  // Lists and bits of what is left, so that later rounds visit nothing else.
  void shrink() {
    for (std::size_t fault = 0; fault < fault_left_.size(); ++fault) {
      if (!fault_left_[fault]) continue;
      std::erase_if(tests_of_[fault], [&](std::uint32_t test) {
        if (!test_left_[test]) fault_bits_[fault].clear(test);
        return !test_left_[test];
      });
    }
    faults_of_.assign(problem_.tests.size(), {});
    for (std::size_t test = 0; test < test_left_.size(); ++test) {
      if (!test_left_[test]) continue;
      for (const std::uint32_t fault : problem_.tests[test].exposes) {
        if (fault_left_[fault]) {
          faults_of_[test].push_back(fault);
        } else {
          test_bits_[test].clear(fault);
        }
      }
    }
  }

  void drop_equal_faults() {
    std::map<std::vector<std::uint32_t>, std::size_t> first;
    for (std::size_t fault = 0; fault < fault_left_.size(); ++fault) {
      if (fault_left_[fault] && !first.try_emplace(tests_of_[fault], fault).second)
        fault_left_[fault] = false;
    }
  }

  // Whatever exposes `fault` exposes some others too: those can be left out.
  bool drop_faults() {
    bool moved = false;
    for (std::size_t fault = 0; fault < fault_left_.size(); ++fault) {
      if (!fault_left_[fault]) continue;
      const std::uint32_t rarest = *std::ranges::min_element(
          tests_of_[fault], {}, [&](std::uint32_t test) { return faults_of_[test].size(); });
      for (const std::uint32_t other : faults_of_[rarest]) {
        if (other == fault || !fault_left_[other]) continue;
        if (!fault_bits_[fault].within(fault_bits_[other])) continue;
        fault_left_[other] = false;
        moved = true;
      }
    }
    return moved;
  }

  // Whatever `one` needs set up, `other` needs too, or it is free.
  bool sets_up_no_more(const CoverTest& one, const CoverTest& other) const {
    return std::ranges::all_of(one.setups, [&](std::uint32_t setup) {
      return setup_minutes_[setup] == 0.0 || std::ranges::count(other.setups, setup) > 0;
    });
  }

  bool is_dominated(std::size_t test, std::size_t by) const {
    const CoverTest& one = problem_.tests[test];
    const CoverTest& other = problem_.tests[by];
    if (!sets_up_no_more(other, one) || other.minutes > one.minutes) return false;
    if (!test_bits_[test].within(test_bits_[by])) return false;
    const bool equal = faults_of_[test].size() == faults_of_[by].size() && other.minutes == one.minutes &&
                       sets_up_no_more(one, other);
    return !equal || by < test;
  }

  bool drop_tests() {
    bool moved = false;
    for (std::size_t test = 0; test < test_left_.size(); ++test) {
      if (!test_left_[test]) continue;
      if (faults_of_[test].empty()) {
        test_left_[test] = false;
        continue;
      }
      const std::uint32_t rarest = *std::ranges::min_element(
          faults_of_[test], {}, [&](std::uint32_t fault) { return tests_of_[fault].size(); });
      const bool dominated = std::ranges::any_of(tests_of_[rarest], [&](std::uint32_t other) {
        return other != test && test_left_[other] && is_dominated(test, other);
      });
      if (!dominated) continue;
      test_left_[test] = false;
      moved = true;
    }
    return moved;
  }

  bool force_tests() {
    bool moved = false;
    for (std::size_t fault = 0; fault < fault_left_.size(); ++fault) {
      if (!fault_left_[fault] || tests_of_[fault].size() != 1) continue;
      const std::size_t test = tests_of_[fault][0];
      forced_.push_back(test);
      const CoverTest& chosen = problem_.tests[test];
      forced_minutes_ += chosen.minutes;
      for (const std::uint32_t setup : chosen.setups) {
        forced_minutes_ += setup_minutes_[setup];
        setup_minutes_[setup] = 0.0;
      }
      for (const std::uint32_t exposed : chosen.exposes) fault_left_[exposed] = false;
      test_left_[test] = false;
      moved = true;
    }
    return moved;
  }

  ReducedCover result() {
    ReducedCover left;
    std::vector<std::uint32_t> number(problem_.faults);
    for (std::size_t fault = 0; fault < fault_left_.size(); ++fault) {
      if (fault_left_[fault]) number[fault] = static_cast<std::uint32_t>(left.problem.faults++);
    }
    left.problem.setup_minutes = setup_minutes_;
    for (std::size_t test = 0; test < test_left_.size(); ++test) {
      if (!test_left_[test]) continue;
      CoverTest kept{problem_.tests[test].minutes, problem_.tests[test].setups, {}};
      for (const std::uint32_t fault : problem_.tests[test].exposes) {
        if (fault_left_[fault]) kept.exposes.push_back(number[fault]);
      }
      if (kept.exposes.empty()) continue;
      left.problem.tests.push_back(std::move(kept));
      left.tests.push_back(test);
    }
    std::ranges::sort(forced_);
    left.forced = std::move(forced_);
    left.forced_minutes = forced_minutes_;
    return left;
  }

  const CoverProblem& problem_;
  std::vector<double> setup_minutes_;  // zero once a forced test needs it
  std::vector<std::vector<std::uint32_t>> tests_of_;
  std::vector<std::vector<std::uint32_t>> faults_of_;
  std::vector<Bits> test_bits_;
  std::vector<Bits> fault_bits_;
  std::vector<bool> fault_left_;
  std::vector<bool> test_left_;
  std::vector<std::size_t> forced_;
  double forced_minutes_ = 0.0;
};

}  // namespace

std::vector<std::vector<std::uint32_t>> exposed_by(const CoverProblem& problem) {
  std::vector<std::vector<std::uint32_t>> tests(problem.faults);
  for (std::size_t test = 0; test < problem.tests.size(); ++test) {
    for (const std::uint32_t fault : problem.tests[test].exposes)
      tests[fault].push_back(static_cast<std::uint32_t>(test));
  }
  return tests;
}

}  // namespace loomgraft::setcover

namespace loomgraft {

using namespace setcover;

std::vector<bool> undominated(const CoverProblem& problem) {
  return Reduction(problem).undominated();
}

}  // namespace loomgraft

namespace loomgraft::setcover {

ReducedCover reduced(const CoverProblem& problem) {
  return Reduction(problem).run();
}

}  // namespace loomgraft::setcover
