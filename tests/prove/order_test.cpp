// Orders and plans for a limited time against all that there are, on small problems; and what the steps take.
#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <numeric>
#include <random>

#include "prove/curve.h"
#include "prove/order_internal.h"
#include "tests/prove/made_up_proof.h"
#include "tests/rounds.h"

namespace loomgraft::prove_order_test {
namespace {

using namespace loomgraft::prove;

constexpr double rounding = 1e-9;
constexpr OrderOptions thorough{0.1, 2.0, 100'000'000, true};

struct Random {
  std::mt19937 random;
  std::uint32_t below(std::uint32_t count) { return static_cast<std::uint32_t>(random() % count); }
};

// Two dead conditions and one with power, some places and points, tests between random points.
HandWork random_work(Random& random, std::uint32_t tests, std::uint32_t faults) {
  HandWork work;
  work.conditions = {{dead_phase, 5.0}, {dead_phase, 3.0}, {2, 1.0}};
  work.access_minutes = {4.0};
  work.places = 3;
  work.travel = {0.0, 1.0, 2.0, 1.0, 0.0, 1.0, 2.0, 1.0, 0.0};
  work.points = 5;
  for (std::uint32_t fault = 0; fault < faults; ++fault)
    work.faults.push_back({0.01 * (1 + random.below(9)), random.below(3) == 0});
  const auto lead = [&](std::uint32_t point) {
    return HandLead{point, point % 4 == 3 ? no_place : point % 3, 0.5 + 0.5 * (point % 3)};
  };
  for (std::uint32_t k = 0; k < tests; ++k) {
    HandTest test;
    test.condition = random.below(3);
    const std::uint32_t red = random.below(5);
    test.red = lead(red);
    test.black = lead((red + 1 + random.below(4)) % 5);
    test.reading = 0.3;
    if (random.below(4) == 0) test.accesses = {0};
    for (std::uint32_t fault = 0; fault < faults; ++fault) {
      const bool too_late = test.condition == 2 && work.faults[fault].harmful;
      if (!too_late && random.below(3) == 0) test.exposes.push_back(fault);
    }
    work.tests.push_back(test);
  }
  return work;
}

std::vector<std::size_t> numbers(std::size_t count) {
  std::vector<std::size_t> all(count);
  std::iota(all.begin(), all.end(), std::size_t{0});
  return all;
}

// Dead conditions before live ones, the first dead one before the second, each condition once.
bool is_allowed(const HandWork& work, const std::vector<std::size_t>& sequence) {
  return std::ranges::is_sorted(sequence, {}, [&](std::size_t test) { return work.tests[test].condition; });
}

std::vector<bool> shown(const HandWork& work, const std::vector<std::size_t>& sequence) {
  std::vector<bool> yes(work.faults.size());
  for (const std::size_t test : sequence) {
    for (const std::uint32_t fault : work.tests[test].exposes) yes[fault] = true;
  }
  return yes;
}

double minutes_of(const HandWork& work, const std::vector<std::size_t>& sequence) {
  double sum = 0.0;
  for (const StepMinutes& step : minutes_of_steps(work, sequence)) sum += step.sum();
  return sum;
}

// `visit` with every allowed order of every choice of tests.
template <class Visit>
void every_order(const HandWork& work, std::size_t least, const Visit& visit) {
  const std::size_t count = work.tests.size();
  for (std::size_t mask = 0; mask < std::size_t{1} << count; ++mask) {
    std::vector<std::size_t> sequence;
    for (std::size_t k = 0; k < count; ++k) {
      if ((mask >> k & 1) != 0) sequence.push_back(k);
    }
    if (sequence.size() < least) continue;
    do {
      if (is_allowed(work, sequence)) visit(sequence);
    } while (std::ranges::next_permutation(sequence).found);
  }
}

TEST(Order, ALeadThatStaysCostsNothingAndAPlaceIsOpenedOnce) {
  HandWork work;
  work.conditions = {{dead_phase, 5.0}};
  work.access_minutes = {4.0};
  work.places = 2;
  work.travel = {0.0, 1.0, 1.0, 0.0};
  const HandLead hub{0, no_place, 0.2};
  work.tests.push_back({0, {1, 0, 0.5}, hub, 0.3, {}, {}});
  work.tests.push_back({0, {2, 1, 1.5}, hub, 0.3, {0}, {}});
  work.tests.push_back({0, {3, 1, 1.5}, hub, 0.3, {0}, {}});
  const std::vector<std::size_t> all = numbers(3);
  const std::vector<StepMinutes> steps = minutes_of_steps(work, all);
  EXPECT_NEAR(steps[0].sum(), 5.0 + 0.5 + 0.2 + 0.3, rounding);
  EXPECT_NEAR(steps[1].sum(), 4.0 + 1.0 + 1.5 + 0.3, rounding);
  EXPECT_NEAR(steps[2].sum(), 1.5 + 0.3, rounding);
}

// Most are the best of all orders; none is far from it.
TEST(Order, IsTheBestOfAllOrdersOnMostSmallProblems) {
  Random random{std::mt19937(5)};
  OrderOptions options = thorough;
  options.exchange = false;
  int best = 0;
  constexpr int problems = 30;
  for (int round = 0; round < problems; ++round) {
    const HandWork work = random_work(random, 7, 12);
    const OrderClasses classes = order_classes(work, options.harmful_counts);
    double least = std::numeric_limits<double>::infinity();
    every_order(work, 7, [&](const std::vector<std::size_t>& sequence) {
      least = std::min(least, cost_of(work, classes, sequence, options.floor));
    });
    const std::vector<std::size_t> found = ordered(work, numbers(7), options);
    ASSERT_TRUE(is_allowed(work, found));
    ASSERT_TRUE(std::ranges::is_permutation(found, numbers(7)));
    const double cost = cost_of(work, classes, found, options.floor);
    EXPECT_LE(cost, 1.05 * least) << round;
    best += cost <= least + 1e-6 ? 1 : 0;
  }
  EXPECT_GE(best, problems * 8 / 10);
}

TEST(Order, ExchangesTestsWithoutShowingLessAndComesNearTheBestOfAllChoices) {
  Random random{std::mt19937(9)};
  for (int round = 0; round < 12; ++round) {
    const HandWork work = random_work(random, 6, 8);
    const OrderClasses classes = order_classes(work, thorough.harmful_counts);
    const std::vector<bool> wanted = shown(work, numbers(6));
    double least = std::numeric_limits<double>::infinity();
    every_order(work, 1, [&](const std::vector<std::size_t>& sequence) {
      if (shown(work, sequence) == wanted)
        least = std::min(least, cost_of(work, classes, sequence, thorough.floor));
    });
    const std::vector<std::size_t> found = ordered(work, numbers(6), thorough);
    EXPECT_EQ(shown(work, found), wanted) << round;
    EXPECT_LE(cost_of(work, classes, found, thorough.floor), 1.1 * least) << round;
  }
}

TEST(Budget, FitsComesNearTheMostAndNeverAboveTheBound) {
  Random random{std::mt19937(21)};
  for (int round = 0; round < 12; ++round) {
    const HandWork work = random_work(random, 6, 10);
    CoverProblem cover;  // every test by itself: no sequence takes less than its reading
    cover.faults = work.faults.size();
    for (const HandTest& test : work.tests) cover.tests.push_back({test.reading, {}, test.exposes});
    const OrderClasses classes = order_classes(work, 1.0);
    const auto share = [&](const std::vector<std::size_t>& sequence) {
      std::vector<std::uint64_t> seen(classes.words, 0);
      double sum = 0.0;
      for (const std::size_t test : sequence) {
        sum += classes.fresh(test, seen);
        classes.note(test, seen);
      }
      return sum;
    };
    OrderOptions options = thorough;
    options.harmful_counts = 1.0;
    for (const double minutes : {4.0, 9.0, 14.0, 20.0}) {
      double most = 0.0;
      every_order(work, 0, [&](const std::vector<std::size_t>& sequence) {
        const bool powered =
            std::ranges::any_of(sequence, [&](std::size_t k) { return work.tests[k].condition == 2; });
        if (!powered && minutes_of(work, sequence) <= minutes + rounding)
          most = std::max(most, share(sequence));
      });
      const std::vector<std::size_t> found = best_within(work, minutes, {}, options);
      EXPECT_LE(minutes_of(work, found), minutes + 1e-6) << round;
      EXPECT_TRUE(is_allowed(work, found));
      EXPECT_GE(share(found), 0.8 * most - rounding) << round << " " << minutes;
      EXPECT_LE(share(found), most_within(work, cover, minutes, 0.0) + 1e-6) << round;
    }
  }
}

TEST(Budget, NoPowerBeforeWhatCouldDoHarmIsExcluded) {
  HandWork work;
  work.conditions = {{dead_phase, 1.0}, {2, 0.0}};
  work.faults = {{0.01, true}, {0.5, false}};
  work.tests.push_back({0, {0, no_place, 5.0}, {1, no_place, 0.2}, 0.3, {}, {0}});
  work.tests.push_back({1, {2, no_place, 0.5}, {3, no_place, 0.2}, 0.3, {}, {1}});
  EXPECT_TRUE(best_within(work, 5.0, {}, thorough).empty());  // the one with power would fit
  EXPECT_EQ(best_within(work, 10.0, {}, thorough), numbers(2));
}

TEST(Curve, FallsStepByStepAndNamesTheWorstThatIsLeft) {
  samples::MadeUpProof made;
  made.add_fault("small", 0.6);
  made.add_fault("burns", 0.3);
  made.add_fault("unseen", 0.1);
  made.proof.report.faults[1].harm = Harm::fire;
  made.add_test("one", samples::sound, {samples::faulty, samples::sound, samples::sound});
  made.add_test("two", samples::sound, {samples::sound, samples::faulty, samples::sound});
  made.done();
  ProveReport report = made.proof.report;
  report.steps = {{1.0, 0.0, 0.0, 0.0, 1.0}, {0.0, 0.0, 0.0, 0.0, 1.0}};
  const std::vector<PlanMoment> curve = curve_of(report);
  ASSERT_EQ(curve.size(), 3u);
  EXPECT_NEAR(curve[0].unproved, 1.0, rounding);
  EXPECT_NEAR(curve[1].unproved, 0.4, rounding);
  EXPECT_EQ(curve[1].fault, 1u);
  EXPECT_EQ(curve[1].worst, Harm::fire);
  EXPECT_NEAR(curve[2].unproved, 0.1, rounding);
  EXPECT_NEAR(curve[2].harmful, 0.0, rounding);
  EXPECT_NEAR(curve[2].minutes, 3.0, rounding);
}

}  // namespace
}  // namespace loomgraft::prove_order_test
