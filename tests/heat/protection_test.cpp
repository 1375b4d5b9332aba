#include "heat/protection.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "tests/heat/wires.h"

namespace loomgraft::heat_protection_test {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

ProtectionQuestion question_of(double mm2, double dead_short = 200) {
  ProtectionQuestion question;
  question.wire = thermal_wire(wire_size_of(square_millimetres(mm2)), *insulation("class B"));
  question.limits = {{100}, {160}};
  question.start = {60};
  question.around = {{50}};
  question.dead_short = {dead_short};
  return question;
}

const FuseFamily& blade() {
  return *fuse_family("");
}

double margin_at(const ProtectionQuestion& question, double rating, double amperes) {
  const double wire = wire_damage_curve(question, {amperes}, {amperes}, 1).front().time.si;
  const double fuse = longest_opening(blade(), {rating}, {amperes}).si;
  return wire == infinite ? 1e6 : fuse == infinite ? 0.0 : std::min(1e6, wire / fuse);
}

TEST(Protection, FindsTheSmallestMarginOfAllCurrents) {
  for (const double mm2 : {0.35, 0.5, 1.0, 2.5, 6.0}) {
    for (const double rating : {2.0, 5.0, 10.0, 15.0, 30.0}) {
      for (const double dead_short : {8.0, 40.0, 200.0, 1500.0}) {
        const ProtectionQuestion question = question_of(mm2, dead_short);
        const Protection found = protection_of(blade(), {rating}, question);
        double least = 1e6;
        for (int i = 0; i <= 2000; ++i) {
          const double amperes = dead_short * std::pow(1e-3, 1.0 - i / 2000.0);
          least = std::min(least, margin_at(question, rating, amperes));
        }
        EXPECT_LE(found.margin, least * 1.002) << mm2 << " mm2, " << rating << " A, short " << dead_short;
        EXPECT_EQ(found.covered, found.margin >= 1.0);
        EXPECT_LE(found.worst_current.si, dead_short);
        if (found.margin > 0.0 && found.margin < 1e6) {
          EXPECT_NEAR(found.margin, margin_at(question, rating, found.worst_current.si), 1e-6 * found.margin);
        }
      }
    }
  }
}

TEST(Protection, CoversCommonPairsAndRejectsUnsafeOnes) {
  EXPECT_TRUE(protection_of(blade(), {5}, question_of(0.5)).covered);
  EXPECT_TRUE(protection_of(blade(), {10}, question_of(1.0)).covered);
  EXPECT_TRUE(protection_of(blade(), {15}, question_of(2.5)).covered);
  EXPECT_FALSE(protection_of(blade(), {30}, question_of(0.5)).covered);
  EXPECT_FALSE(protection_of(blade(), {40}, question_of(2.5)).covered);
}

TEST(Protection, NeedsWireToCarryWhatFuseNeverInterrupts) {
  const ProtectionQuestion question = question_of(0.5);
  const double rests = steady_current(question.wire, question.limits.life, question.around).si;
  // The first gate with a longest time is at 1.35 times the rating.
  const double just = rests / 1.35;
  EXPECT_GT(protection_of(blade(), {just * 0.999}, question).margin, 0.0);
  const Protection over = protection_of(blade(), {just * 1.01}, question);
  EXPECT_EQ(over.margin, 0.0);
  EXPECT_FALSE(over.covered);
  EXPECT_EQ(over.fuse_time.si, infinite);
  EXPECT_NE(over.reason.find("need never interrupt"), std::string::npos) << over.reason;
}

TEST(Protection, ReportsShortsThatNeverOpenTheFuse) {
  // A long thin wire lets 12 A pass; a 15 A fuse holds for ever, the wire does too or does not.
  EXPECT_FALSE(protection_of(blade(), {15}, question_of(0.35, 14.5)).covered);
  EXPECT_TRUE(protection_of(blade(), {15}, question_of(1.0, 12)).covered);
}

TEST(Protection, IsMonotone) {
  // Up to what the search for the worst current may miss.
  constexpr double slack = 1.001;
  const auto sizes = wire_sizes(WireSystem::metric);
  const Insulation& pvc = *insulation("class B");
  for (const FuseFamily& family : fuse_families()) {
    for (std::size_t s = 0; s + 1 < sizes.size(); ++s) {
      ProtectionQuestion question = question_of(1.0, 400);
      question.wire = thermal_wire(sizes[s], pvc);
      ProtectionQuestion larger = question;
      larger.wire = thermal_wire(sizes[s + 1], pvc);
      ProtectionQuestion hotter = question;
      hotter.start = {75};
      ProtectionQuestion warmer_air = question;
      warmer_air.around = {{60}};
      ProtectionQuestion harder = question;
      harder.dead_short = {800};
      double last = infinite;
      for (const FuseRating& one : family.ratings) {
        const double margin = protection_of(family, one.rating, question).margin;
        EXPECT_LE(margin, last * slack) << sizes[s].name << " " << one.rating.si;
        EXPECT_GE(protection_of(family, one.rating, larger).margin * slack, margin) << sizes[s].name;
        EXPECT_LE(protection_of(family, one.rating, hotter).margin, margin * slack) << sizes[s].name;
        EXPECT_LE(protection_of(family, one.rating, warmer_air).margin, margin * slack) << sizes[s].name;
        EXPECT_LE(protection_of(family, one.rating, harder).margin, margin * slack) << sizes[s].name;
        last = margin;
      }
    }
  }
}

TEST(Protection, GivesAReason) {
  const Protection bad = protection_of(blade(), {20}, question_of(0.75));
  EXPECT_FALSE(bad.covered);
  EXPECT_NE(bad.reason.find("20 A fuse"), std::string::npos) << bad.reason;
  const Protection good = protection_of(blade(), {1}, question_of(6.0, 1.3));
  EXPECT_TRUE(good.covered);
  EXPECT_EQ(good.margin, 1e6);
  EXPECT_FALSE(good.reason.empty());
}

// The limit is the short-circuit temperature to 5 s, the one for life from 60 s, and never jumps between.
TEST(DamageCurve, JoinsShortCircuitAndLife) {
  const ProtectionQuestion question = question_of(1.0);
  const double rests = steady_current(question.wire, {100}, question.around).si;
  const auto curve = wire_damage_curve(question, {rests * 0.999}, {rests * 100}, 20000);
  ASSERT_EQ(curve.size(), 20000u);
  EXPECT_EQ(curve.front().time.si, infinite);
  double last = infinite;
  for (const CurvePoint& point : curve) {
    EXPECT_LE(point.time.si, last) << point.current.si;
    EXPECT_TRUE(last > 100 || point.time.si > 0.9 * last) << point.current.si;
    last = point.time.si;
    const LimitTimes times = limit_times();
    const double limit = point.time <= times.short_circuit ? 160.0 : point.time >= times.life ? 100.0 : 0.0;
    if (limit == 0.0 || point.time.si == infinite) continue;
    const double reached =
        temperature_after(question.wire, point.current, question.start, point.time, question.around).degrees;
    EXPECT_NEAR(reached, limit, 0.1) << point.current.si;
  }
  // From here the copper keeps its heat: I2t stays.
  const CurvePoint& end = curve.back();
  const double k2s2 = std::pow(adiabatic_k({60}, {160}) * 1.0, 2);
  const double kept = 1.7241e-8 / (question.wire.resistance.si * question.wire.area.si);
  EXPECT_NEAR(end.current.si * end.current.si * end.time.si, k2s2 * kept, 0.01 * k2s2);
}

TEST(DamageCurve, OfAWireAboveItsLimitIsZero) {
  ProtectionQuestion question = question_of(1.0);
  question.start = {170};
  EXPECT_EQ(wire_damage_curve(question, {50}, {50}, 1).front().time.si, 0.0);
}

}  // namespace
}  // namespace loomgraft::heat_protection_test
