#include "find/find.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <random>

#include "find/odds_internal.h"
#include "find/practice.h"
#include "tests/find/walk.h"
#include "tests/prove/made_up_proof.h"

namespace loomgraft::find_find_test {
namespace {

using namespace loomgraft::find;

using samples::as_reading;
using samples::faulty;
using samples::MadeUpProof;
using samples::reading_of;
using samples::sound;
using ::testing::HasSubstr;
using ::testing::SizeIs;

constexpr double open_end = std::numeric_limits<double>::infinity();

// Intervals of all kinds: the healthy one, shifted, wider, a point, over range, anything.
Band drawn_band(std::mt19937& random, const Band& healthy, bool ohms) {
  const auto draw = [&](double most) { return most * static_cast<double>(random() % 1000) / 1000.0; };
  switch (random() % 12) {
    case 0: {
      const double low = draw(20.0);
      return {low, low + draw(6.0)};
    }
    case 1: {
      const double at = std::floor(draw(20.0));
      return {at, at};
    }
    case 2:
      return ohms ? Band{over_range_ohms, open_end} : Band{0.0, 0.0};
    case 3:
      return ohms ? Band{draw(1e6), open_end} : Band{3.0, 9.0};
    case 4:
      return {-open_end, open_end};
    case 5:
      return {0.5 + draw(2.0), 40.0 + draw(2000.0)};
    default:
      return healthy;
  }
}

MadeUpProof drawn_proof(unsigned seed, std::size_t faults, std::size_t tests) {
  std::mt19937 random(seed);
  MadeUpProof made;
  made.add_condition("live", 3.0, true);
  for (std::size_t k = 0; k < faults; ++k) {
    const FaultKind kind = random() % 2 == 0 ? FaultKind::bad_joint : FaultKind::wire_open;
    made.add_fault("fault " + std::to_string(k), 0.1 + static_cast<double>(random() % 100), kind);
    if (random() % 3 == 0) made.proof.report.faults[k].repair = "mend fault 0";
  }
  for (std::size_t test = 0; test < tests; ++test) {
    const bool ohms = random() % 2 == 0;
    const Band healthy = ohms && random() % 3 == 0 ? Band{over_range_ohms, open_end} : Band{4.0, 6.0};
    std::vector<Band> under;
    for (std::size_t k = 0; k < faults; ++k) under.push_back(drawn_band(random, healthy, ohms));
    made.add_test("test " + std::to_string(test), healthy, under, 0.5 + static_cast<double>(random() % 8),
                  random() % 2, ohms ? "ohm" : "V");
  }
  made.done();
  return made;
}

std::vector<Reading> drawn_readings(const Proof& proof, unsigned seed, std::size_t count) {
  std::mt19937 random(seed);
  std::vector<std::size_t> tests(proof.report.tests.size());
  for (std::size_t k = 0; k < tests.size(); ++k) tests[k] = k;
  std::shuffle(tests.begin(), tests.end(), random);
  tests.resize(std::min(tests.size(), count));
  std::vector<Reading> readings;
  for (const std::size_t test : tests) {
    const bool over = proof.report.tests[test].unit == "ohm" && random() % 3 == 0;
    const double value = over ? over_range_reading : static_cast<double>(random() % 2000) / 100.0;
    readings.push_back(as_reading(proof, test, value, readings.size()));
  }
  return readings;
}

std::vector<WeighedHypothesis> hypotheses_after(const Proof& proof, const std::vector<Reading>& readings) {
  std::vector<Observed> observed;
  for (std::size_t test = 0; test < proof.report.tests.size(); ++test) {
    for (const Reading& reading : readings) {
      if (reading.test == proof.report.tests[test].id)
        observed.push_back({test, reading.value, reading.id, 1, false});
    }
  }
  return weighed_hypotheses(proof, observed, learnt_odds(proof.report.faults, {}).odds, {});
}

TEST(Find, OddsSumToOne) {
  for (unsigned seed = 0; seed < 40; ++seed) {
    const MadeUpProof made = drawn_proof(seed, 3 + seed, 30);
    const std::vector<Reading> readings = drawn_readings(made.proof, seed, seed % 12);
    double sum = 0.0;
    for (const WeighedHypothesis& one : hypotheses_after(made.proof, readings)) sum += one.odds;
    EXPECT_NEAR(sum, 1.0, 1e-12) << seed;
    const FindReport report = find_fault(made.proof, readings);
    double reported = 0.0;
    for (const Hypothesis& one : report.hypotheses) reported += one.odds;
    EXPECT_LE(reported, 1.0 + 1e-12);
    EXPECT_GT(reported, 0.5) << seed;
  }
}

TEST(Find, ReadingsInAnyOrderGiveTheSameBits) {
  for (unsigned seed = 0; seed < 20; ++seed) {
    const MadeUpProof made = drawn_proof(seed, 25, 30);
    std::vector<Reading> readings = drawn_readings(made.proof, seed, 9);
    const FindReport first = find_fault(made.proof, readings);
    std::mt19937 random(seed);
    std::shuffle(readings.begin(), readings.end(), random);
    const FindReport second = find_fault(made.proof, readings);
    EXPECT_EQ(first.no_fault, second.no_fault);
    EXPECT_EQ(first.entropy_bits, second.entropy_bits);
    ASSERT_EQ(first.hypotheses.size(), second.hypotheses.size());
    for (std::size_t k = 0; k < first.hypotheses.size(); ++k) {
      EXPECT_EQ(first.hypotheses[k].faults, second.hypotheses[k].faults);
      EXPECT_EQ(first.hypotheses[k].odds, second.hypotheses[k].odds);
    }
    ASSERT_EQ(first.repairs.size(), second.repairs.size());
    for (std::size_t k = 0; k < first.repairs.size(); ++k)
      EXPECT_EQ(first.repairs[k].odds, second.repairs[k].odds);
  }
}

TEST(Find, AReadingInsideEveryIntervalChangesNothing) {
  MadeUpProof made = drawn_proof(5, 25, 30);
  std::vector<Band> under;
  for (std::size_t k = 0; k < 25; ++k)
    under.push_back({2.0 - 0.05 * static_cast<double>(k), 8.0 + static_cast<double>(k)});
  made.add_test("vague", {4.0, 6.0}, under);
  made.done();
  std::vector<Reading> readings = drawn_readings(made.proof, 5, 6);
  std::erase_if(readings, [](const Reading& one) { return one.test == "vague"; });
  const FindReport before = find_fault(made.proof, readings);
  readings.push_back(reading_of("vague", 5.0));
  const FindReport after = find_fault(made.proof, readings);
  ASSERT_EQ(before.hypotheses.size(), after.hypotheses.size());
  for (std::size_t k = 0; k < before.hypotheses.size(); ++k)
    EXPECT_EQ(before.hypotheses[k].odds, after.hypotheses[k].odds);
  EXPECT_EQ(before.entropy_bits, after.entropy_bits);
}

// One wrong reading among four: the others outvote it.
TEST(Find, OneMisreadingIsOutvoted) {
  MadeUpProof made;
  for (int k = 0; k < 6; ++k) made.add_fault("f" + std::to_string(k), 1.0);
  for (int test = 0; test < 4; ++test) {
    std::vector<Band> under(6, sound);
    under[2] = faulty;
    under[static_cast<std::size_t>(test == 3 ? 5 : test % 2)] = faulty;
    made.add_test("t" + std::to_string(test), sound, under);
  }
  const Proof& proof = made.done();
  const std::vector<Reading> readings{reading_of("t0", 1.0), reading_of("t1", 1.0), reading_of("t2", 0.0),
                                      reading_of("t3", 1.0)};
  const FindReport report = find_fault(proof, readings);
  ASSERT_FALSE(report.repairs.empty());
  EXPECT_EQ(report.repairs[0].repair, "mend f2");
  EXPECT_GT(report.repairs[0].odds, 0.8);
  EXPECT_EQ(report.hypotheses[0].misread, "reading of t2");
  // While the fault is not isolated, the misread test is proposed again; the later reading then counts.
  FindOptions unsure;
  unsure.isolated_at = 0.9999;
  const FindReport open = find_fault(proof, readings, unsure);
  ASSERT_FALSE(open.isolated.has_value());
  EXPECT_TRUE(std::ranges::any_of(
      open.next, [&](const NextTest& next) { return proof.report.tests[next.test].id == "t2"; }));
  std::vector<Reading> corrected = readings;
  corrected.push_back(reading_of("t2", 1.0));
  corrected.back().id = "corrected";
  EXPECT_EQ(find_fault(proof, corrected).next.at(0).reason, NextReason::readings_differ);
  corrected.push_back(corrected.back());
  corrected.back().id = "once more";
  const FindReport sure = find_fault(proof, corrected);
  ASSERT_TRUE(sure.isolated.has_value());
  EXPECT_GT(sure.repairs[0].odds, 0.99);
  EXPECT_EQ(sure.hypotheses[0].misread, "");
}

TEST(Find, FindsAPair) {
  MadeUpProof made;
  for (int k = 0; k < 60; ++k) made.add_fault("f" + std::to_string(k), 1.0 + k % 7);
  // Each fault shows in two tests of its own neighbourhood.
  for (std::size_t test = 0; test < 60; ++test) {
    std::vector<Band> under(60, sound);
    under[test] = under[(test + 1) % 60] = faulty;
    made.add_test("t" + std::to_string(test), sound, under);
  }
  const Proof& proof = made.done();
  std::vector<Reading> readings;
  for (std::size_t test = 0; test < 60; ++test) {
    const bool shows = test == 9 || test == 10 || test == 39 || test == 40;  // faults 10 and 40
    readings.push_back(reading_of("t" + std::to_string(test), shows ? 1.0 : 0.0));
  }
  const FindReport report = find_fault(proof, readings);
  ASSERT_FALSE(report.hypotheses.empty());
  EXPECT_EQ(report.hypotheses[0].faults, (std::vector<std::size_t>{10, 40}));
  EXPECT_GT(report.hypotheses[0].odds, 0.9);
  EXPECT_GT(report.repairs[1].odds, 0.9) << "both repairs are needed";
  FindOptions single;
  single.pairs = false;
  const FindReport without = find_fault(proof, readings, single);
  EXPECT_THAT(without.problems, SizeIs(1));
  EXPECT_EQ(without.problems[0].code, "not-explained");
}

// The second fault explains one reading of six, and sixty decoys explain three: it is found as what the first
// leaves over.
TEST(Find, FindsAPairWhoseSecondFaultIsUnlikely) {
  MadeUpProof made;
  made.add_fault("first", 1.0);
  made.add_fault("second", 0.1);
  for (int k = 0; k < 60; ++k) made.add_fault("decoy " + std::to_string(k), 5.0);
  std::vector<Reading> readings;
  for (std::size_t test = 0; test < 6; ++test) {
    std::vector<Band> under(62, sound);
    under[test < 5 ? 0 : 1] = faulty;
    for (std::size_t decoy = 2; decoy < 62 && test < 5; ++decoy) {
      if ((decoy + test) % 5 < 3) under[decoy] = faulty;
    }
    made.add_test("t" + std::to_string(test), sound, under);
    readings.push_back(reading_of("t" + std::to_string(test), 1.0));
  }
  FindOptions options;
  options.misread = 1e-6;
  const FindReport report = find_fault(made.done(), readings, options);
  ASSERT_FALSE(report.hypotheses.empty());
  EXPECT_EQ(report.hypotheses[0].faults, (std::vector<std::size_t>{0, 1}));
}

TEST(Find, ForAPairOfVisibleFaultsAnyReadingBetweenIsPossible) {
  MadeUpProof made;
  made.add_fault("low", 1.0);
  made.add_fault("high", 1.0);
  made.add_test("t", {4.0, 6.0}, {{1.0, 2.0}, {8.0, 9.0}});
  WeighedHypothesis pair;
  pair.faults = {0, 1};
  const Band shown = shown_under(made.done(), pair, 0).band;
  EXPECT_EQ(shown.low, 1.0);
  EXPECT_EQ(shown.high, 9.0);
}

// ---- the next test

constexpr double remains = 0.003;  // of the odds of a hypothesis that a reading contradicts

// The definition, hypothesis by hypothesis and stretch by stretch.
class ByDefinition {
 public:
  ByDefinition(const Proof& proof, const std::vector<WeighedHypothesis>& all, std::size_t test) {
    const Counted counts(all);
    remains_ = counts.only_explaining() ? 0.0 : remains;
    for (const WeighedHypothesis& one : all) {
      if (!counts(one)) continue;
      shown_.emplace_back(shown_under(proof, one, test), &one);
      sum_ += one.odds;
    }
  }

  double bits() const {
    double after = 0.0;
    for (const auto& [what, one] : shown_) after += one->odds / sum_ * mean_entropy(what);
    return std::max(0.0, entropy_where([](const Band&) { return true; }) - after);
  }

 private:
  template <class Inside>
  double entropy_where(Inside inside) const {
    std::map<std::size_t, double> groups;
    double whole = 0.0;
    for (const auto& [what, one] : shown_) {
      const double odds = inside(what.band) ? one->odds : remains_ * one->odds;
      groups[one->group] += odds;
      whole += odds;
    }
    double bits = 0.0;
    for (const auto& [group, mass] : groups)
      bits -= mass > 0.0 ? mass / whole * std::log2(mass / whole) : 0.0;
    return bits;
  }

  // Ends that differ by a tenth of the width decide nothing.
  static Band blurred(const Band& band) {
    const double blur = 0.1 * std::min(band.high - band.low, 1e9);
    return {band.low - blur, band.high + blur};
  }

  double mean_entropy(const Prediction& of) const {
    const auto at = [&](double reading) {
      return entropy_where([&](const Band& band) {
        const auto [low, high] = blurred(band);
        return reading >= low && reading <= high;
      });
    };
    const Band& drawn = of.drawn;
    if (drawn.high == drawn.low) return at(drawn.low);
    std::vector<double> ends{drawn.low, drawn.high};
    for (const auto& [what, one] : shown_) {
      const auto [low, high] = blurred(what.band);
      for (const double end : {low, high}) {
        if (end > drawn.low && end < drawn.high) ends.push_back(end);
      }
    }
    std::ranges::sort(ends);
    double mean = 0.0;
    for (std::size_t k = 1; k < ends.size(); ++k) {
      const double share = of.by_ratio ? std::log(ends[k] / ends[k - 1]) / std::log(drawn.high / drawn.low)
                                       : (ends[k] - ends[k - 1]) / (drawn.high - drawn.low);
      if (share > 0.0) mean += share * at(0.5 * (ends[k - 1] + ends[k]));
    }
    return mean;
  }

  std::vector<std::pair<Prediction, const WeighedHypothesis*>> shown_;
  double sum_ = 0.0;
  double remains_ = 0.0;
};

template <class Minutes>
std::vector<PossibleTest> candidates_for(std::size_t tests, Minutes minutes) {
  std::vector<PossibleTest> candidates;
  for (std::size_t test = 0; test < tests; ++test) candidates.push_back({test, minutes(test)});
  return candidates;
}

TEST(FindNext, SweepEqualsTheDefinition) {
  for (unsigned seed = 0; seed < 25; ++seed) {
    const MadeUpProof made = drawn_proof(100 + seed, 4 + 2 * seed, 20);
    const auto hypotheses = hypotheses_after(made.proof, drawn_readings(made.proof, seed, seed % 5));
    const auto evaluated = most_informative(made.proof, hypotheses,
                                            candidates_for(20, [](auto) { return 1.0; }), 0.0, 20, remains);
    ASSERT_THAT(evaluated, SizeIs(20));
    for (const NextTest& one : evaluated) {
      EXPECT_NEAR(one.bits, ByDefinition(made.proof, hypotheses, one.test).bits(), 1e-7)
          << seed << " " << one.test;
    }
  }
}

TEST(FindNext, SkipsOnlyTestsThatCouldNotBeAmongTheBest) {
  for (unsigned seed = 0; seed < 25; ++seed) {
    const MadeUpProof made = drawn_proof(200 + seed, 30, 400);
    const auto hypotheses = hypotheses_after(made.proof, drawn_readings(made.proof, seed, seed % 3));
    const auto candidates =
        candidates_for(400, [](std::size_t k) { return 0.5 + static_cast<double>(k % 7); });
    const auto all = most_informative(made.proof, hypotheses, candidates, 0.0, 400, remains);
    const auto few = most_informative(made.proof, hypotheses, candidates, 0.0, 5, remains);
    ASSERT_THAT(few, SizeIs(5));
    for (std::size_t k = 0; k < few.size(); ++k) {
      EXPECT_EQ(few[k].test, all[k].test) << seed;
      EXPECT_EQ(few[k].bits, all[k].bits) << seed;
    }
  }
}

TEST(FindNext, CountsTheMinutesOfAChangeOfCondition) {
  MadeUpProof made;
  made.add_condition("far", 20.0, false);
  made.add_fault("a", 1.0);
  made.add_fault("b", 1.0);
  made.add_test("near", sound, {faulty, sound}, 3.0, 0);
  made.add_test("far away", sound, {faulty, sound}, 1.0, 1);
  made.add_test("there", sound, {sound, sound}, 1.0, 1);
  const Proof& proof = made.done();
  FindOptions options;
  const FindReport here = find_fault(proof, {}, options);
  ASSERT_THAT(here.next, SizeIs(2));
  EXPECT_EQ(proof.report.tests[here.next[0].test].id, "near");
  EXPECT_EQ(here.next[1].minutes, 21.0);
  const FindReport there = find_fault(proof, {reading_of("there", 0.0)}, options);
  EXPECT_EQ(proof.report.tests[there.next[0].test].id, "far away");
  EXPECT_EQ(there.next[0].minutes, 1.0);
}

TEST(FindNext, NoPowerWhileHarmIsLikelyAndADeadTestIsInformative) {
  MadeUpProof made;
  made.add_condition("live", 0.0, true);
  made.add_fault("burns", 1.0);
  made.add_fault("dull", 1.0);
  made.proof.report.faults[0].harm = Harm::fire;
  made.add_test("dead", sound, {faulty, sound}, 50.0, 0);
  made.add_test("live", sound, {faulty, sound}, 0.1, 1);
  const Proof& proof = made.done();
  const FindReport report = find_fault(proof, {});
  ASSERT_THAT(report.next, SizeIs(1));
  EXPECT_EQ(proof.report.tests[report.next[0].test].id, "dead");
  Reading away = reading_of("dead", 0.0, "unreached");
  const FindReport only_live = find_fault(proof, {away});
  ASSERT_THAT(only_live.next, SizeIs(1));
  EXPECT_EQ(proof.report.tests[only_live.next[0].test].id, "live");
}

TEST(FindNext, StopsWhenOneRepairIsIsolated) {
  const MadeUpProof made = samples::chain({1.0, 1.0, 1.0});
  FindOptions options;
  options.isolated_at = 0.95;
  const FindReport report =
      find_fault(made.proof, {reading_of("behind 1", 1.0), reading_of("behind 3", 1.0)}, options);
  ASSERT_TRUE(report.isolated.has_value());
  EXPECT_EQ(report.repairs[*report.isolated].repair, "mend stage 1");
  EXPECT_TRUE(report.next.empty());
  options.isolated_at = 0.999999;
  EXPECT_FALSE(
      find_fault(made.proof, {reading_of("behind 1", 1.0), reading_of("behind 3", 1.0)}, options).isolated);
}

// ---- notes and readings

TEST(Find, NamesTheReadingThatMakesAFaultPossibleOrExcluded) {
  const MadeUpProof made = samples::chain({1.0, 1.0, 1.0});
  const FindReport report =
      find_fault(made.proof, {reading_of("behind 1", 0.0), reading_of("behind 2", 1.0)});
  ASSERT_EQ(report.fault_notes.size(), 3U);
  EXPECT_EQ(report.fault_notes[0].fault, 1U);
  EXPECT_FALSE(report.fault_notes[0].excluded);
  EXPECT_THAT(report.fault_notes[0].text, HasSubstr("in: behind 2 read 1 V"));
  for (std::size_t k : {std::size_t{1}, std::size_t{2}}) {
    EXPECT_TRUE(report.fault_notes[k].excluded);
    EXPECT_THAT(report.fault_notes[k].text,
                HasSubstr(report.fault_notes[k].fault == 0 ? "out: behind 1" : "out: behind 2"));
  }
}

TEST(Find, RejectsUnusableReadingsAndUsesTheRest) {
  const MadeUpProof made = samples::chain({1.0, 1.0});
  const FindReport report =
      find_fault(made.proof, {reading_of("behind 7", 1.0), reading_of("behind 1", std::nan("")),
                              reading_of("behind 1", 1.0, "ohm"), reading_of("behind 2", 1.0)});
  std::vector<std::string> codes;
  for (const Problem& problem : report.problems) codes.emplace_back(problem.code.text());
  // Readings two and three have one id: the second of them is a resend.
  EXPECT_THAT(codes, ::testing::ElementsAre("no-such-test", "no-number"));
  EXPECT_LT(report.no_fault, 0.05);
  const FindReport unit = find_fault(made.proof, {reading_of("behind 1", 1.0, "ohm")});
  ASSERT_THAT(unit.problems, SizeIs(1));
  EXPECT_EQ(unit.problems[0].code, "wrong-unit");
}

// Readings of one test as they were taken, a minute apart.
std::vector<Reading> repeats(const std::string& test, const std::vector<double>& values) {
  std::vector<Reading> readings;
  for (std::size_t k = 0; k < values.size(); ++k) {
    readings.push_back(reading_of(test, values[k]));
    readings.back().id = test + " #" + std::to_string(k);
    readings.back().time = "2026-03-01T10:0" + std::to_string(k) + ":00Z";
  }
  return readings;
}

FindReport find_in_chain(std::vector<Reading> readings, FindOptions options = {}) {
  const MadeUpProof made = samples::chain({1.0, 1.0});
  readings.push_back(reading_of("behind 2", 1.0));
  return find_fault(made.proof, readings, options);
}

TEST(Find, TheSameReadingTwiceConfirms) {
  const double once = find_in_chain(repeats("behind 1", {0.0})).repairs[0].odds;
  const FindReport twice = find_in_chain(repeats("behind 1", {0.0, 0.0}));
  EXPECT_GT(twice.repairs[0].odds, once);
  EXPECT_TRUE(twice.differing.empty());
}

TEST(Find, TwoContradictingReadingsAskForAThird) {
  const FindReport report = find_in_chain(repeats("behind 1", {1.0, 0.0}));
  ASSERT_THAT(report.differing, SizeIs(1));
  EXPECT_THAT(report.differing[0].values, ::testing::ElementsAre(1.0, 0.0));
  EXPECT_FALSE(report.differing[0].taken.has_value());
  EXPECT_FALSE(report.isolated.has_value());
  ASSERT_FALSE(report.next.empty());
  EXPECT_EQ(report.next[0].test, 0U);
  EXPECT_EQ(report.next[0].reason, NextReason::readings_differ);
  EXPECT_NEAR(report.repairs[0].odds, report.repairs[1].odds, 1e-9) << "neither is preferred";
}

TEST(Find, TheLatestTwoThatAgreeCount) {
  for (const auto& values :
       {std::vector{1.0, 0.0, 0.0}, std::vector{0.0, 1.0, 0.0}, std::vector{1.0, 1.0, 0.0, 0.0}}) {
    std::vector<Reading> readings = repeats("behind 1", values);
    const FindReport report = find_in_chain(readings);
    EXPECT_EQ(report.repairs[0].repair, "mend stage 2");
    ASSERT_THAT(report.differing, SizeIs(1));
    EXPECT_EQ(report.differing[0].taken, 0.0);
    std::ranges::reverse(readings);  // by their times, not by their positions
    EXPECT_EQ(find_in_chain(readings).repairs[0].odds, report.repairs[0].odds);
  }
  // The last one contradicts two that agreed: measure again.
  const FindReport after_repair = find_in_chain(repeats("behind 1", {1.0, 1.0, 0.0}));
  EXPECT_EQ(after_repair.repairs[0].repair, "mend stage 1");
  EXPECT_EQ(after_repair.next[0].reason, NextReason::readings_differ);
}

TEST(Find, AReadingThatKeepsChangingIsNotAskedForForEver) {
  const FindReport report = find_in_chain(repeats("behind 1", {1.0, 2.0, 0.0, 5.0, 9.0}));
  ASSERT_THAT(report.differing, SizeIs(1));
  EXPECT_TRUE(report.differing[0].unsteady);
  for (const NextTest& next : report.next) EXPECT_NE(next.test, 0U);
}

// Neither a rare fault nor none at all that explains it makes an out-of-band reading the meter's mistake.
TEST(Find, NothingIsWrongNeverLeadsAfterAReadingOutOfBand) {
  for (const double value : {1.0, 7.0}) {
    MadeUpProof made;
    made.add_fault("rare", 1e-9);
    made.add_fault("common", 1.0);
    made.add_test("a", sound, {faulty, sound});
    made.add_test("b", sound, {sound, faulty});
    const Proof& proof = made.done();
    const FindReport report = find_fault(proof, {reading_of("a", value), reading_of("b", 0.0)});
    ASSERT_FALSE(report.repairs.empty());
    EXPECT_LT(report.no_fault, report.repairs[0].odds) << value;
    // Until two later readings of it agree that it is in band.
    std::vector<Reading> repeated = repeats("a", {value, 0.0, 0.0});
    repeated.push_back(reading_of("b", 0.0));
    EXPECT_GT(find_fault(proof, repeated).no_fault, 0.9) << value;
  }
}

TEST(Find, ASlipIsLikelierThanAGrossMisreading) {
  MadeUpProof made;
  made.add_fault("ten ohms", 1.0);
  made.add_fault("open", 1.0);
  made.add_test("a", {0.0, 0.5}, {{9.5, 10.5}, {over_range_ohms, open_end}}, 1.0, 0, "ohm");
  const Proof& proof = made.done();
  const auto odds = [&](double value) {
    for (const Hypothesis& one : find_fault(proof, {reading_of("a", value, "ohm")}).hypotheses) {
      if (one.faults == std::vector<std::size_t>{0}) return one.odds;
    }
    return 0.0;
  };
  EXPECT_GT(odds(10.6), odds(30.0)) << "a poor touch";
  EXPECT_NEAR(find_fault(proof, {reading_of("a", 0.8, "ohm")}).no_fault, 0.2, 0.14)
      << "held behind the likeliest repair";
}

// The tests of one branch show the same element: after one of them another one is no confirmation.
TEST(FindNext, AnotherTestOfTheSameBranchIsNotProposed) {
  MadeUpProof made;
  for (int k = 0; k < 4; ++k) made.add_fault("f" + std::to_string(k), 1.0);
  made.add_test("one end", sound, {faulty, faulty, sound, sound});
  made.add_test("other end", sound, {faulty, faulty, sound, sound});
  made.add_test("between", sound, {faulty, sound, sound, sound}, 9.0);
  const Proof& proof = made.done();
  const FindReport report = find_fault(proof, {reading_of("one end", 1.0)});
  ASSERT_FALSE(report.next.empty());
  for (const NextTest& next : report.next) EXPECT_NE(proof.report.tests[next.test].id, "other end");
  EXPECT_TRUE(std::ranges::any_of(report.next, [](const NextTest& next) { return next.test == 2; }));
}

// The faults of one joint, one per range of added ohms, with the same repair; a reading between two ranges of a wire.
TEST(Find, TheRangesOfAJointAreOneRepair) {
  MadeUpProof made;
  const std::vector<Band> ranges{{0.6, 5.0}, {5.0, 50.0}, {50.0, 5e3}, {5e3, 5e6}};
  for (const char* joint : {"near", "far"}) {
    for (std::size_t k = 0; k < ranges.size(); ++k) {
      made.add_fault(joint + std::to_string(k), 0.25, FaultKind::bad_joint);
      made.proof.report.faults.back().repair = std::string("remake ") + joint;
    }
  }
  std::vector<Band> whole = ranges;
  whole.insert(whole.end(), ranges.begin(), ranges.end());
  std::vector<Band> half = ranges;
  half.resize(8, {0.0, 0.3});
  made.add_test("whole", {0.0, 0.5}, whole, 1.0, 0, "ohm");
  made.add_test("half", {0.0, 0.3}, half, 1.0, 0, "ohm");
  const Proof& proof = made.done();
  const FindReport report = find_fault(proof, {reading_of("whole", 12.0, "ohm")});
  ASSERT_THAT(report.repairs, SizeIs(2));
  EXPECT_NEAR(report.repairs[0].odds, report.repairs[1].odds, 1e-9);
  // The entropy is that between two repairs, and a little for both at once.
  EXPECT_NEAR(report.entropy_bits, 1.0, 0.4);
  EXPECT_EQ(report.next[0].test, 1U);
  const FindReport found =
      find_fault(proof, {reading_of("whole", 12.0, "ohm"), reading_of("half", 12.0, "ohm")});
  ASSERT_TRUE(found.isolated.has_value());
  EXPECT_EQ(found.repairs[0].repair, "remake near");
}

TEST(FindNext, LeadsThatStayAndTheStateToBringAboutCount) {
  MadeUpProof made;
  made.proof.report.conditions[0].setup.battery_off = true;
  made.proof.report.conditions[0].minutes = 12.0;
  made.add_condition("bare", 4.0, false);
  made.proof.report.conditions[1].setup.battery_off = true;
  made.proof.report.conditions[1].setup.removed = {"relay"};
  made.add_condition("live", 1.0, true);
  made.add_fault("a", 1.0);
  made.add_fault("b", 1.0);
  made.add_test("start", sound, {sound, sound}, 3.0, 0);
  made.add_test("same black", sound, {faulty, sound}, 3.0, 0);
  made.add_test("in bare", sound, {faulty, sound}, 3.0, 1);
  made.add_test("with power", sound, {sound, sound}, 3.0, 2);
  for (std::size_t k = 0; k < 4; ++k) {
    ProveTest& test = made.proof.report.tests[k];
    test.red.text = "red " + std::to_string(k);
    test.black.text = "body";
    test.red.minutes = test.black.minutes = 1.25;
  }
  const Proof& proof = made.done();
  const auto minutes = [](const FindReport& report, std::size_t test) {
    const auto found = std::ranges::find(report.next, test, &NextTest::test);
    return found == report.next.end() ? -1.0 : found->minutes;
  };
  const FindReport dead = find_fault(proof, {reading_of("start", 0.0)});
  EXPECT_NEAR(minutes(dead, 1), 3.0 - 1.25, 1e-12) << "the clip on the body stays";
  EXPECT_NEAR(minutes(dead, 2), 3.0 + 4.0, 1e-12);
  // With power on, the battery comes off before the parts come out.
  const FindReport live = find_fault(proof, {reading_of("with power", 0.0)});
  EXPECT_NEAR(minutes(live, 2), 3.0 + 4.0 + 12.0, 1e-12);
}

TEST(Find, OverRangeIsOneReadingForEveryMeter) {
  EXPECT_EQ(fit_of(1e9, {over_range_ohms, open_end}, over_range_ohms), 1.0);
  EXPECT_EQ(fit_of(over_range_ohms, {6e7, open_end}, over_range_ohms), 1.0);
  EXPECT_LT(fit_of(1e9, {0.0, 1e6}, over_range_ohms), 1e-6);
  EXPECT_LT(fit_of(4.0, {over_range_ohms, open_end}, over_range_ohms), 1e-6);
  EXPECT_EQ(fit_of(0.5, {0.0, 0.5}, over_range_ohms), 1.0);
  EXPECT_GT(fit_of(0.505, {0.0, 0.5}, over_range_ohms), smallest_fit);
  EXPECT_LT(fit_of(0.7, {0.0, 0.5}, over_range_ohms), 1e-6);
}

TEST(Find, WithoutFaultsTheOddsOfNoFaultAreOne) {
  MadeUpProof made;
  EXPECT_EQ(find_fault(made.done(), {}).no_fault, 1.0);
}

}  // namespace
}  // namespace loomgraft::find_find_test
