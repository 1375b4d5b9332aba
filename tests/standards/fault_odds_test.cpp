// How often faults are met, and what burns: weights and limits with their sources.
#include "standards/fault_odds.h"

#include <gtest/gtest.h>

#include <set>
#include <stdexcept>

#include "standards/data_table.h"
#include "standards/network_figures.h"
#include "standards/wire_burns.h"

namespace loomgraft::standards_fault_odds_test {
namespace {

const std::set<std::string> statuses{"looked up", "from memory", "common practice", "computed"};

TEST(FaultOdds, EveryKindHasWeightsAndASource) {
  const DataTable table("faults.csv");
  std::set<std::string> kinds;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string& kind = table.at(row, table.column("kind"));
    EXPECT_TRUE(kinds.insert(kind).second) << kind << " twice";
    const FaultOdds& odds = fault_odds(kind);
    EXPECT_GT(odds.old_weight, 0.0) << kind;
    EXPECT_GT(odds.new_weight, odds.old_weight) << kind << ": new work is more likely than old";
    EXPECT_FALSE(odds.text.empty() || odds.source.empty()) << kind;
    EXPECT_TRUE(statuses.contains(odds.status)) << kind << " " << odds.status;
  }
  EXPECT_EQ(kinds.size(), 33U);
  EXPECT_THROW(fault_odds("nothing"), std::logic_error);
}

// Joints more than wire, and what was just put into a plug most of all.
TEST(FaultOdds, CommonFaultsWeighMore) {
  const auto weight = [](const char* kind) { return fault_odds(kind).new_weight; };
  EXPECT_GT(weight("terminal_unseated") + weight("bad_joint"), weight("wire_open"));
  EXPECT_GT(weight("swapped_wires"), weight("bridged_cavities"));
  EXPECT_GT(weight("wire_open"), weight("chafed_together"));
}

TEST(FaultFigures, StateTheirSources) {
  for (const char* name : {"bad_joint_ohm", "touch_ohm", "input_shift_v"}) {
    for (const SystemVolts system : {SystemVolts::nominal_12, SystemVolts::nominal_24}) {
      const Figure& figure = network_figure(name, system);
      EXPECT_TRUE(statuses.contains(figure.status)) << name;
      EXPECT_FALSE(figure.source.empty()) << name;
      EXPECT_LT(figure.low(), figure.high()) << name;
    }
  }
  // A touch conducts like a contact, a bad joint does not.
  const SystemVolts system = SystemVolts::nominal_12;
  EXPECT_GT(network_figure("bad_joint_ohm", system).low(), network_figure("contact_ohm", system).high());
  EXPECT_LE(network_figure("touch_ohm", system).high(), network_figure("bad_joint_ohm", system).low());
}

// FAA AC 43.13-1B table 11-9, conductor at 200 C: AWG 20 (0.616 mm2) 9 A, AWG 14 (1.941 mm2) 18 A, AWG 4
// (21.593 mm2) 133 A; exact at its rows.
TEST(WireBurns, AsPublished) {
  EXPECT_NEAR(burning_current(square_millimetres(0.616)).si, 9.0, 1e-9);
  EXPECT_NEAR(burning_current(square_millimetres(1.941)).si, 18.0, 1e-9);
  EXPECT_NEAR(burning_current(square_millimetres(21.593)).si, 133.0, 1e-9);
}

TEST(WireBurns, RisesWithTheArea) {
  double last = 0.0;
  for (const double area : {0.05, 0.13, 0.241, 0.35, 0.5, 1.0, 2.5, 6.0, 16.0, 50.0, 106.865, 200.0}) {
    const double current = burning_current(square_millimetres(area)).si;
    EXPECT_GT(current, last) << area;
    last = current;
  }
}

}  // namespace
}  // namespace loomgraft::standards_fault_odds_test
