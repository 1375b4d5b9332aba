#include "instrument/steady.h"

#include <gtest/gtest.h>

#include <vector>

namespace loomgraft::instrument_steady_test {
namespace {

using namespace loomgraft::instrument;
using std::chrono::milliseconds;
constexpr auto ohms = MeterFunction::ohms;
constexpr auto volts = MeterFunction::volts;
constexpr milliseconds second{1000};
constexpr MeterValue over{0.0, true};

std::vector<TimedValue> every(milliseconds step, const std::vector<double>& amounts) {
  std::vector<TimedValue> samples;
  for (const double amount : amounts)
    samples.push_back({MeterTime{} + step * static_cast<int>(samples.size()), {amount, false}});
  return samples;
}

TEST(Steady, AfterASecondAndNotBefore) {
  const std::vector<double> still{0.30, 0.31, 0.30, 0.29, 0.30, 0.30};
  const auto before = every(milliseconds(199), still);
  EXPECT_FALSE(steady_value(before, ohms, second));
  const auto after = every(milliseconds(200), still);
  const auto value = steady_value(after, ohms, second);
  ASSERT_TRUE(value);
  EXPECT_NEAR(value->amount, 0.30, 1e-3);
}

TEST(Steady, AMoveWithinTheSecondCounts) {
  EXPECT_FALSE(steady_value(every(milliseconds(250), {12.6, 12.6, 12.6, 12.3, 12.6}), volts, second));
  // What was before the last second does not.
  EXPECT_TRUE(steady_value(every(milliseconds(250), {3.0, 12.6, 12.6, 12.6, 12.6, 12.6}), volts, second));
}

TEST(Steady, ASlowMeterNeedsThreeSamples) {
  EXPECT_FALSE(steady_value(every(milliseconds(1500), {5.0, 5.0}), volts, second));
  EXPECT_TRUE(steady_value(every(milliseconds(600), {5.0, 5.0, 5.0}), volts, second));
}

TEST(Steady, OverRangeAndNumbersDoNotMix) {
  auto samples = every(milliseconds(300), {0, 0, 0, 0, 0});
  for (TimedValue& one : samples) one.value = over;
  EXPECT_EQ(steady_value(samples, ohms, second), over);
  samples[3].value = {1e6, false};
  EXPECT_FALSE(steady_value(samples, ohms, second));
  EXPECT_FALSE(steady_value({}, ohms, second));
}

TEST(Touches, OneTouchCountsOnce) {
  Touches touches;
  // The leads may have been on before anybody looked.
  touches.sample({0.3, false}, ohms);
  EXPECT_EQ(touches.count(), 0U);
  touches.sample(over, ohms);
  touches.sample({5.0, false}, ohms);
  touches.sample({0.3, false}, ohms);
  touches.sample({40.0, false}, ohms);  // a shaky hand
  EXPECT_EQ(touches.count(), 1U);
  touches.sample(over, ohms);
  touches.sample({0.3, false}, ohms);
  EXPECT_EQ(touches.count(), 2U);
}

TEST(Touches, VoltsAreLiftedNearNothingOrMovedClearly) {
  Touches touches;
  touches.sample({0.002, false}, volts);
  touches.sample({12.6, false}, volts);
  EXPECT_EQ(touches.count(), 1U);
  touches.stood({12.6, false});
  touches.sample({12.1, false}, volts);
  EXPECT_EQ(touches.count(), 1U) << "the battery gives in a little";
  touches.sample({5.0, false}, volts);
  EXPECT_EQ(touches.count(), 2U);
  touches.sample({12.6, false}, volts);
  EXPECT_EQ(touches.count(), 2U) << "5 V never stood still";
}

TEST(Touches, AnotherFunctionIsNoMove) {
  Touches touches;
  touches.sample(over, ohms);
  touches.sample({100.0, false}, ohms);
  touches.stood({100.0, false});
  touches.forget_value();
  touches.sample({12.6, false}, volts);
  EXPECT_EQ(touches.count(), 1U);
}

}  // namespace
}  // namespace loomgraft::instrument_steady_test
