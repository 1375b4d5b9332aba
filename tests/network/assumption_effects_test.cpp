#include "network/assumption_effects.h"

#include <gtest/gtest.h>

#include <cmath>

#include "standards/network_figures.h"
#include "tests/network/small_loom.h"

namespace loomgraft::network_assumption_effects_test {
namespace {

using namespace samples;

// The wire to the heater has no length: 0.5 to 6 m (data/network_figures.csv) move its volts by the drop
// of 5.5 m.
TEST(AssumptionEffects, RanksWhatIsWorthMeasuring) {
  Graft graft = heater_loom();
  graft.wires[1].length.reset();                       // carries the heater's 2 A
  graft.wires.push_back(wire("idle", "F1:2", "X:1"));  // carries nothing
  graft.devices.push_back(device("X", "splice"));
  graft.wires.back().length.reset();
  const auto effects = assumption_effects(graft, {}, {}, {{"H1", "1"}, false, "", BranchKind::wire});
  ASSERT_TRUE(effects);
  ASSERT_EQ(effects->size(), 1u);
  const AssumptionEffect& first = effects->front();
  EXPECT_EQ(first.assumption.subject, "w2");
  EXPECT_EQ(first.assumption.quantity, "length");
  EXPECT_LT(first.weakest, first.strongest);
  const Figure& length = network_figure("wire_length_m", SystemVolts::nominal_12);
  const double ohms = (length.high() - length.low()) * 18.5e-3;  // 1 mm2: 18.5 mohm/m, data/wire_sizes.csv
  // 6 %: the rest of the loop, left out of the current here.
  EXPECT_NEAR(first.strongest - first.weakest, 12.5 / 6.0 * ohms, 0.06 * 12.5 / 6.0 * ohms);
}

TEST(AssumptionEffects, WatchesCurrents) {
  Graft graft = heater_loom();
  graft.devices[3].resistance.reset();
  const auto effects = assumption_effects(graft, {}, {}, {{}, false, "F1", BranchKind::fuse});
  ASSERT_TRUE(effects);
  ASSERT_FALSE(effects->empty());
  EXPECT_EQ(effects->front().assumption.subject, "H1");
  EXPECT_LT(std::abs(effects->front().weakest), std::abs(effects->front().strongest));
}

TEST(AssumptionEffects, SaysWhereThereIsNothing) {
  const auto effects = assumption_effects(heater_loom(), {}, {}, {{"H9", "1"}, false, "", BranchKind::wire});
  ASSERT_FALSE(effects);
  EXPECT_EQ(effects.error().code, "nothing-to-watch");
}

}  // namespace
}  // namespace loomgraft::network_assumption_effects_test
