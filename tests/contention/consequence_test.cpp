// Contention of two circuits: what works unasked, stated fuses, and the corners of resistance.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "contention/contention.h"
#include "contention/corner_states.h"
#include "standards/supply.h"

namespace loomgraft::contention_consequence_test {
namespace {

using testing::HasSubstr;
using enum PinClass;

Pin pin_of(PinClass pin_class, const char* signal = "", const char* note = "") {
  Pin pin;
  pin.pin_class = pin_class;
  pin.signal = signal;
  pin.note = note;
  return pin;
}

Contention two(const Pin& loom, const Pin& pin, Volts supply = {12.0}) {
  return contend(loom, pin, {supply}, Circuits::two);
}

TEST(Consequence, ALoadThatAnotherFunctionWorksDoesItsHarm) {
  for (const Volts supply : {Volts{12.0}, Volts{24.0}}) {
    const Contention cranks =
        two(pin_of(low_side_driver, "Crank relay"), pin_of(low_side_driver, "Idle-up relay"), supply);
    EXPECT_EQ(cranks.grade, Grade::injury);
    ASSERT_NE(cranks.consequence, nullptr);
    EXPECT_EQ(cranks.consequence->circuit, "starter");
    EXPECT_THAT(cranks.reason, HasSubstr("\"Crank relay\" may crank: a vehicle in gear can move."));
    EXPECT_GT(cranks.current.si, 0.0) << "the current that works it";
  }
  EXPECT_EQ(two(pin_of(low_side_driver, "Idle-up relay"), pin_of(low_side_driver, "Vacuum relay 7")).grade,
            Grade::false_signal)
      << "what is not in the table works unasked all the same";
  EXPECT_EQ(
      two(pin_of(high_side_driver, "Horn"), pin_of(high_side_driver, "Courtesy relay")).consequence->circuit,
      "horn");
}

TEST(Consequence, CountsForAMisreadInputAndForTheDeviceAtTheFarEnd) {
  const Contention pto = two(pin_of(switch_to_supply_input, "Ash tray lamp switch"),
                             pin_of(switch_to_supply_input, "PTO request"));
  EXPECT_EQ(pto.grade, Grade::injury) << "the switch turns the shaft";
  Pin wire = pin_of(low_side_driver, "Output 12");
  wire.far_end = "tail lift pump relay";
  EXPECT_EQ(two(wire, pin_of(low_side_driver, "Purge valve")).consequence->circuit, "lifting and hydraulics");
}

TEST(Consequence, NeverCountsForOneCircuit) {
  const Pin starter = pin_of(low_side_driver, "Starter relay");
  const Contention one = contend(starter, starter, {}, Circuits::one);
  EXPECT_EQ(one.grade, Grade::harmless);
  EXPECT_EQ(one.consequence, nullptr);
}

TEST(Consequence, OneCircuitDoesNotExcuseALimitThatIsExceeded) {
  Pin weak = pin_of(low_side_driver, "Canister valve");
  weak.limits.current = milliamperes(300);
  const Contention over = contend(pin_of(low_side_driver, "Canister valve"), weak, {}, Circuits::one);
  EXPECT_EQ(over.grade, Grade::damage);
  EXPECT_EQ(over.limit, "donor low-side driver 300 mA");
  EXPECT_EQ(contend(pin_of(unknown, "Canister valve"), weak, {}, Circuits::one).grade, Grade::damage)
      << "the kind that one source states holds for both";
  Pin strong = pin_of(unknown, "Fan");
  strong.limits.current = Amperes{8.0};
  weak.pin_class = unknown;
  EXPECT_EQ(contend(strong, weak, {}, Circuits::one).grade, Grade::damage) << "8 A on a pin for 0.3 A";
}

TEST(Consequence, AFireStaysAFireAndNamesTheHarmBesides) {
  const Contention fire = two(pin_of(supply_30, "Battery feed"), pin_of(power_earth, "Earth"));
  EXPECT_EQ(fire.grade, Grade::fire);
  Pin wire = pin_of(low_side_driver, "Starter solenoid");
  const Contention hot = two(wire, pin_of(low_side_driver, "Purge valve"));
  EXPECT_GE(hot.grade, Grade::injury);
  EXPECT_EQ(hot.consequence->circuit, "starter");
}

// ---- corners ----

TEST(Corners, TheSupplyIsTheOneThatDesignsUse) {
  EXPECT_DOUBLE_EQ(supply_volts(SystemVolts::nominal_12).si, 14.8);
  EXPECT_DOUBLE_EQ(supply_volts(SystemVolts::nominal_24).si, 29.6);
}

// A track of 5 kohm below a pull-up of 1 kohm: 14.8 V x 5 / 6 = 12.3 V on a part for 6.5 V.
TEST(Corners, APullUpToTheFeedBreaksFiveVoltParts) {
  const Contention sensor =
      two(pin_of(reference_5v, "Sensor supply"), pin_of(switch_to_earth_input, "Door switch"));
  EXPECT_EQ(sensor.grade, Grade::damage);
  EXPECT_NEAR(sensor.voltage.si, 14.8 * 5.0 / 6.0, 1e-6);
}

TEST(Corners, AFeedReachesAnOutputWhoseRailIsNotYetUp) {
  for (const PinClass output : {high_side_driver, supply_output, push_pull}) {
    const Contention back = two(pin_of(supply_15, "Ignition feed"), pin_of(output, "Output"));
    EXPECT_GE(back.grade, Grade::damage) << name_of(output);
  }
  const CornerModel& model = corner_model(high_side_driver, PinSide::module, SystemVolts::nominal_12);
  EXPECT_TRUE(std::ranges::any_of(model.states, [](const CornerState& s) {
    return s.state.one_way == OneWay::into && s.state.key == KeyState::on;
  }));
}

// 14.8 V less 2.5 V over 110 ohm and the feed: more than a quarter-watt termination and the pin bear.
TEST(Corners, ABusPinHoldsItsOwnTermination) {
  const Contention fed = two(pin_of(supply_15, "Ignition feed"), pin_of(can_high, "CAN high"));
  EXPECT_EQ(fed.grade, Grade::damage);
  EXPECT_NEAR(fed.current.si, (14.8 - 2.5) / 110.03, 1e-6);
}

TEST(Corners, AColdLampIsTooMuchForADriverButNoFire) {
  const Contention lamp =
      two(pin_of(high_side_driver, "Cargo lamp"), pin_of(high_side_driver, "Solenoid pack supply"));
  EXPECT_EQ(lamp.grade, Grade::damage);
  EXPECT_NEAR(-lamp.current.si, 14.8 / (0.49 + 0.1), 1e-6);
  EXPECT_LT(two(pin_of(high_side_driver, "Cargo lamp"), pin_of(supply_30, "Battery feed")).grade,
            Grade::damage)
      << "a feed stands the inrush of a lamp";
}

TEST(Corners, ANameTellsWhatTheWireLeadsTo) {
  const Contention relay =
      two(pin_of(low_side_driver, "Idle-up relay"), pin_of(low_side_driver, "Vacuum valve"));
  EXPECT_LT(relay.current.si, 0.2) << "a relay coil, not a valve";
  const Contention solenoid =
      two(pin_of(low_side_driver, "Starter solenoid"), pin_of(low_side_driver, "Vacuum valve"));
  EXPECT_GT(std::abs(solenoid.current.si), 10.0);
}

// ---- the stated fuse ----

TEST(StatedFuse, IsTheOneInTheFigures) {
  const Contention fused =
      two(pin_of(supply_30, "Battery feed", "Sich. 4, 7.5 A"), pin_of(low_side_driver, "Purge valve"));
  EXPECT_THAT(fused.reason, HasSubstr("behind fuse 4 (fused 7.5 A)"));
  Pin strong = pin_of(low_side_driver, "Purge valve");
  strong.limits.current = Amperes{100.0};
  EXPECT_EQ(two(pin_of(supply_30, "Battery feed, fuse F2 10A"), strong).limit,
            "loom battery feed behind fuse F2 10 A");
  EXPECT_EQ(two(pin_of(supply_30, "Battery feed"), strong).limit, "loom battery feed 15 A");
}

// 14.8 V over 0.02 ohm of feed and 0.35 ohm of driver: 40 A, which a 30 A fuse lets pass for minutes. The smallest
// usual wire behind it carries 33 A (data/contention_rules.csv).
TEST(StatedFuse, ComesWithTheSmallestWireThatItProtects) {
  Pin strong = pin_of(low_side_driver, "Purge valve");
  strong.limits.current = Amperes{500.0};
  const Contention large = two(pin_of(supply_30, "Feed, fuse 30 A"), strong);
  EXPECT_EQ(large.grade, Grade::fire);
  EXPECT_EQ(large.limit, "loom wire 3 mm² 33 A");
}

}  // namespace
}  // namespace loomgraft::contention_consequence_test
