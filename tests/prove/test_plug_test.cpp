// Test plugs: their resistors, what they show, and whether making one pays.
#include "prove/test_plug.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "prove/exposure_internal.h"
#include "tests/network/random_graft.h"

namespace loomgraft::prove_test_plug_test {
namespace {

using namespace loomgraft::prove;

// A module with so many outputs, each to a lamp of its own, all of them new. Each lamp in a place of its own where `apart`.
Graft lamps(int count, bool apart) {
  Graft graft = samples::heater_loom();
  Connector plug = samples::connector("C1");
  plug.rows = samples::rows_of(count + 2, 10);
  graft.connectors.push_back(plug);
  Module module;
  module.id = module.name = "ECU";
  module.role = ModuleRole::found;
  module.connectors = {"C1"};
  const auto cavity = [](int k) { return "C1:" + std::to_string(k); };
  module.pins = {samples::pin(cavity(count + 1), PinClass::supply_30),
                 samples::pin(cavity(count + 2), PinClass::power_earth)};
  for (int k = 1; k <= count; ++k) {
    const std::string id = "L" + std::to_string(k);
    module.pins.push_back(samples::pin(cavity(k), PinClass::low_side_driver));
    graft.devices.push_back(samples::device(id, "lamp"));
    if (apart) {
      graft.devices.back().place = "P" + std::to_string(k);
      graft.places.push_back({});
      graft.places.back().id = graft.devices.back().place;
    }
    graft.plan.push_back(samples::addition(samples::wire("o" + std::to_string(k), cavity(k), id + ":1")));
    graft.plan.push_back(samples::addition(samples::wire("f" + std::to_string(k), id + ":2", "F1:2")));
  }
  graft.modules = {module};
  return graft;
}

// IEC 60063:2015, table of the E6 and E12 series.
TEST(TestPlugs, HaveValuesOfTheSeries) {
  const std::vector<Ohms> few = test_plug_series(8);
  const std::vector<double> e6{330, 470, 680, 1000, 1500, 2200, 3300, 4700};
  ASSERT_EQ(few.size(), e6.size());
  for (std::size_t k = 0; k < few.size(); ++k) EXPECT_DOUBLE_EQ(few[k].si, e6[k]);
  const std::vector<Ohms> many = test_plug_series(30);
  ASSERT_EQ(many.size(), 30U);
  EXPECT_DOUBLE_EQ(many[1].si, 390);
  for (std::size_t k = 1; k < many.size(); ++k) EXPECT_GT(many[k].si, 1.1 * many[k - 1].si);
  EXPECT_LT(test_plug_series(1000).size(), 40U) << "a plug of more cavities leaves some without";
}

TEST(TestPlugs, AreNotThoughtOfForASmallPlug) {
  EXPECT_TRUE(prove_loom(lamps(3, false)).report.test_plugs.empty());
}

TEST(TestPlugs, AreUsedOnlyWhereTheySaveMinutes) {
  std::size_t used = 0;
  for (const int count : {8, 12}) {
    for (const bool apart : {false, true}) {
      const ProveReport report = prove_loom(lamps(count, apart)).report;
      ASSERT_EQ(report.test_plugs.size(), 1U);
      const TestPlug& plug = report.test_plugs.front();
      EXPECT_EQ(plug.resistors.size(), static_cast<std::size_t>(count));
      const auto with_it = std::ranges::count_if(report.plan, [&](std::size_t test) {
        return report.conditions[report.tests[test].condition].id == plug.condition;
      });
      EXPECT_EQ(plug.used, with_it > 0);
      if (!plug.used) continue;
      ++used;
      EXPECT_GT(report.test_plugs_save, plug.minutes) << count << (apart ? " apart" : " together");
      EXPECT_FALSE(plug.parts.empty());
    }
  }
  RecordProperty("used", static_cast<int>(used));
}

// Each far end shows the resistor of its own cavity, clear of all others, meter and tolerances included.
TEST(TestPlugs, TellEveryWireFromItsFarEnd) {
  const Graft graft = lamps(12, true);
  const std::vector<Fault> faults = faults_of(graft);
  const ProveScope scope = prove_scope(frame_of(graft, LoomState::as_planned), faults);
  const std::vector<PlannedCondition> conditions = planned_conditions(scope);
  const PlannedCondition& planned = conditions.back();
  ASSERT_EQ(planned.use, ConditionUse::test_plug);
  const auto bench = condition_bench(scope, planned.condition, faults);
  ASSERT_TRUE(bench);
  std::vector<Band> bands;
  std::vector<NearMiss> misses(faults.size());
  const auto tests = measured(*meter_sheet(""), *bench, faults,
                              candidates_of(scope, 0, planned, bench->nominal, bench->solution), misses);
  ASSERT_TRUE(tests);
  for (const MeasuredTest& one : *tests) {
    if (one.candidate.test.kind == TestKind::resistance) bands.push_back(one.candidate.test.band);
  }
  ASSERT_EQ(bands.size(), 12U);
  std::ranges::sort(bands, {}, &Band::low);
  for (std::size_t k = 1; k < bands.size(); ++k) EXPECT_LT(bands[k - 1].high, bands[k].low);
}

}  // namespace
}  // namespace loomgraft::prove_test_plug_test
