// Buses by the networks that the modules' legends name.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "compare/compare.h"
#include "tests/compare/small_graft.h"

namespace loomgraft::compare_bus_network_test {
namespace {

using ::testing::HasSubstr;

Graft two_buses(const std::string& found_legend, const std::string& donor_legend) {
  Graft graft = two_modules({{"1", "CAN2-H", PinClass::can_high}, {"2", "CAN2-L", PinClass::can_low}},
                            {{"1", "CAN2-H", PinClass::can_high},
                             {"2", "CAN2-L", PinClass::can_low},
                             {"7", "CAN 4 high", PinClass::can_high},
                             {"8", "CAN 4 low", PinClass::can_low}});
  graft.modules[0].legend = {found_legend};
  graft.modules[1].legend = {donor_legend, "CAN4: Body"};
  return graft;
}

std::string verdicts(const CompareReport& report) {
  std::string text;
  for (const CircuitReport& c : report.circuits) {
    text += std::string(name_of(c.verdict)) + " " + (c.found ? c.found->cavity : "") + "-" +
            (c.donor ? c.donor->cavity : "") + "; ";
  }
  return text;
}

TEST(BusNetwork, EqualNetworksAreOneCircuitUnderAnyNumber) {
  EXPECT_EQ(verdicts(compare_modules(two_buses("CAN2: Body", "CAN2: Chassis"), "found", "donor")),
            "shift 1-7; shift 2-8; add -1; add -2; ");
}

TEST(BusNetwork, OneNumberOnTwoNetworksIsAHazard) {
  const CompareReport report =
      compare_modules(two_buses("CAN2: Driveline", "CAN2: Chassis"), "found", "donor");
  EXPECT_EQ(verdicts(report), "clash 1-; clash 2-; add -1; add -2; add -7; add -8; ");
  EXPECT_EQ(report.circuits[0].hazard.grade, Grade::false_signal);
  EXPECT_THAT(report.circuits[0].hazard.reason, HasSubstr("network Driveline, the donor's pin to Chassis"));
}

TEST(BusNetwork, ARewordedNetworkIsUnsure) {
  EXPECT_THAT(
      verdicts(compare_modules(two_buses("CAN2: Chassis", "CAN2: Chassis fault tolerant"), "found", "donor")),
      HasSubstr("unsure 1-1; unsure 2-2; "));
}

TEST(BusNetwork, WithoutALegendOnBothSidesTheNumberDecides) {
  EXPECT_THAT(verdicts(compare_modules(two_buses("", "CAN2: Chassis"), "found", "donor")),
              HasSubstr("keep 1-1"));
  EXPECT_THAT(verdicts(compare_modules(two_buses("CAN2: Body", ""), "found", "donor")),
              HasSubstr("unsure 1-7"))
      << "the donor's CAN4 has the name, its CAN2 the number and no name";
}

TEST(BusNetwork, TheLegendAppliesToBusesOnly) {
  Graft graft = two_modules({{"1", "CAN2 wake-up", PinClass::switch_to_supply_input}}, {{"1", "ECT"}});
  graft.modules[0].legend = {"CAN2: Body"};
  EXPECT_EQ(bus_network(graft.modules[0], graft.modules[0].pins[0]), "");
  graft.modules[0].pins[0].pin_class = PinClass::can_high;
  EXPECT_EQ(bus_network(graft.modules[0], graft.modules[0].pins[0]), "Body");
}

}  // namespace
}  // namespace loomgraft::compare_bus_network_test
