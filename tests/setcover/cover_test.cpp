// Covers against every choice there is, on problems small enough to try them all.
#include "setcover/cover.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <limits>
#include <random>

#include "tests/rounds.h"

namespace loomgraft::setcover_cover_test {
namespace {

constexpr double rounding = 1e-6;  // minutes: the tolerance of branch and cut

CoverProblem random_problem(std::mt19937& random, std::size_t tests, std::size_t faults, unsigned one_in) {
  CoverProblem problem;
  problem.faults = faults;
  const auto below = [&](std::uint32_t count) { return static_cast<std::uint32_t>(random() % count); };
  const std::uint32_t conditions = 1 + below(4);
  const std::uint32_t places = below(3);
  for (std::uint32_t setup = 0; setup < conditions + places; ++setup)
    problem.setup_minutes.push_back(static_cast<double>(random() % 20) * 0.5);
  for (std::size_t test = 0; test < tests; ++test) {
    CoverTest made{0.25 * static_cast<double>(1 + random() % 12), {below(conditions)}, {}};
    for (std::uint32_t place = 0; place < places; ++place) {
      if (random() % 4 == 0) made.setups.push_back(conditions + place);
    }
    for (std::uint32_t fault = 0; fault < faults; ++fault) {
      if (random() % one_in == 0) made.exposes.push_back(fault);
    }
    problem.tests.push_back(made);
  }
  return problem;
}

std::vector<bool> exposed(const CoverProblem& problem, const std::vector<std::size_t>& chosen) {
  std::vector<bool> yes(problem.faults);
  for (const std::size_t test : chosen) {
    for (const std::uint32_t fault : problem.tests[test].exposes) yes[fault] = true;
  }
  return yes;
}

std::vector<std::size_t> all_tests(const CoverProblem& problem) {
  std::vector<std::size_t> all(problem.tests.size());
  for (std::size_t k = 0; k < all.size(); ++k) all[k] = k;
  return all;
}

double cheapest_of_all(const CoverProblem& problem) {
  const std::vector<bool> wanted = exposed(problem, all_tests(problem));
  double best = std::numeric_limits<double>::infinity();
  for (std::uint32_t mask = 0; mask < 1u << problem.tests.size(); ++mask) {
    std::vector<std::size_t> chosen;
    for (std::size_t k = 0; k < problem.tests.size(); ++k) {
      if (mask >> k & 1u) chosen.push_back(k);
    }
    const double minutes = minutes_of(problem, chosen);
    if (minutes < best && exposed(problem, chosen) == wanted) best = minutes;
  }
  return best;
}

TEST(Cover, EqualsTheBestOfAllChoicesOnSmallProblems) {
  std::mt19937 random(7);
  for (int round = 0; round < 60; ++round) {
    const CoverProblem problem =
        random_problem(random, 3 + random() % 10, 2 + random() % 14, 2 + random() % 4);
    const CoverPlan plan = cover(problem);
    EXPECT_EQ(exposed(problem, plan.tests), exposed(problem, all_tests(problem))) << round;
    EXPECT_TRUE(plan.optimal) << round;
    EXPECT_NEAR(plan.minutes, cheapest_of_all(problem), rounding) << round;
    EXPECT_NEAR(plan.bound, plan.minutes, rounding) << round;
  }
}

TEST(Cover, BoundIsNeverAboveThePlanAndThePlanExposesAllThatCanBe) {
  std::mt19937 random(11);
  for (int round = 0; round < samples::rounds(6); ++round) {
    const CoverProblem problem = random_problem(random, 60, 120, 9);
    for (const int nodes : {0, 1, 50}) {
      const CoverPlan plan = cover(problem, {nodes, 0.0});
      EXPECT_LE(plan.bound, plan.minutes + rounding) << round;
      EXPECT_NEAR(plan.minutes, minutes_of(problem, plan.tests), rounding);
      EXPECT_EQ(exposed(problem, plan.tests), exposed(problem, all_tests(problem))) << round;
    }
    // A search cut short never claims what a longer one disproves.
    const CoverPlan quick = cover(problem, {1, 0.0});
    const CoverPlan thorough = cover(problem, {2000, 0.0});
    EXPECT_LE(quick.bound, thorough.minutes + rounding) << round;
    if (quick.optimal) {
      EXPECT_NEAR(quick.minutes, thorough.minutes, rounding);
    }
  }
}

TEST(Cover, TakesNothingWhereNothingCanBeExposed) {
  CoverProblem problem;
  problem.faults = 2;
  problem.setup_minutes = {5.0};
  problem.tests = {{1.0, {0}, {}}};
  const CoverPlan plan = cover(problem);
  EXPECT_TRUE(plan.tests.empty());
  EXPECT_TRUE(plan.optimal);
  EXPECT_EQ(plan.minutes, 0.0);
}

TEST(Cover, PaysForASetUpOnce) {
  CoverProblem problem;
  problem.faults = 2;
  problem.setup_minutes = {10.0, 0.0};
  problem.tests = {{1.0, {0}, {0}}, {1.0, {0}, {1}}, {6.0, {1}, {0}}, {6.0, {1}, {1}}};
  const CoverPlan plan = cover(problem);
  EXPECT_NEAR(plan.minutes, 12.0, rounding);
  EXPECT_TRUE(plan.optimal);
}

TEST(Cover, SameProblemSameChoice) {
  std::mt19937 random(3);
  const CoverProblem problem = random_problem(random, 80, 200, 12);
  const CoverPlan first = cover(problem);
  const CoverPlan second = cover(problem);
  EXPECT_EQ(first.tests, second.tests);
  EXPECT_EQ(first.bound, second.bound);
}

}  // namespace
}  // namespace loomgraft::setcover_cover_test
