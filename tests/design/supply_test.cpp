// Parts against the supply: made for another vehicle, load dump, jump start, reversed battery.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "design/design.h"
#include "standards/fuses.h"
#include "tests/design/report_queries.h"
#include "tests/design/small_loom.h"

namespace loomgraft::design_supply_test {
namespace {

using samples::check_of;

Graft valve_on(double vehicle_v, std::optional<double> rated_v) {
  Graft graft = small_loom();
  graft.vehicle.supply = Volts{vehicle_v};
  if (rated_v) graft.devices[3].rated = Volts{*rated_v};
  return graft;
}

bool is_missing(const DesignReport& report, const std::string& subject) {
  return std::ranges::any_of(report.missing, [&](const Missing& item) {
    return item.fact == MissingFact::rating && item.subject == subject;
  });
}

std::string input_of(const Check& check, const std::string& name) {
  const auto found = std::ranges::find(check.why.inputs, name, &WhyInput::name);
  return found == check.why.inputs.end() ? "" : found->value;
}

TEST(Supply, ATwelveVoltPartOnTwentyFourVoltsFails) {
  const DesignReport report = design_circuits(valve_on(24.0, 12.0));
  const Check* check = check_of(report, CheckKind::rated_volts, "Y1");
  ASSERT_TRUE(check);
  EXPECT_TRUE(check->judged);
  EXPECT_FALSE(check->passes);
  EXPECT_FALSE(report.passes);
  EXPECT_NEAR(check->limit, 16.0, 1e-9) << "ISO 16750-2:2010, supply code A to D";
  EXPECT_GT(check->value, 27.0);
  // 29.6 V over 14.8 V, squared, less what the output takes.
  EXPECT_NEAR(std::stod(input_of(*check, "heat of a part of fixed resistance")),
              std::pow(check->value / 14.8, 2), 0.01);
  EXPECT_NEAR(std::pow(check->value / 14.8, 2), 4.0, 0.5);
}

TEST(Supply, ATwentyFourVoltPartOnTwelveVoltsFails) {
  const DesignReport report = design_circuits(valve_on(12.0, 24.0));
  const Check* check = check_of(report, CheckKind::rated_volts, "Y1");
  ASSERT_TRUE(check);
  EXPECT_TRUE(check->judged);
  EXPECT_FALSE(check->passes);
  EXPECT_FALSE(check->at_most);
  EXPECT_NEAR(std::stod(input_of(*check, "heat of a part of fixed resistance")), 0.25, 0.03);
}

TEST(Supply, APartForThisVehiclePasses) {
  for (const double volts : {12.0, 24.0}) {
    const DesignReport report = design_circuits(valve_on(volts, volts));
    const Check* check = check_of(report, CheckKind::rated_volts, "Y1");
    ASSERT_TRUE(check);
    EXPECT_TRUE(check->passes && check->judged);
    EXPECT_FALSE(is_missing(report, "Y1"));
  }
}

TEST(Supply, ADroppingResistorMakesItFit) {
  Graft graft = valve_on(24.0, 12.0);
  graft.devices.push_back(device("R1", "resistor"));
  graft.devices.back().resistance = Ohms{15.0};
  graft.plan[1] = adding(wire("feed", {"F1", "2"}, {"R1", "1"}, 1.0));
  graft.plan.push_back(adding(wire("on", {"R1", "2"}, {"Y1", "1"}, 1.0)));
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::rated_volts, "Y1");
  ASSERT_TRUE(check);
  EXPECT_TRUE(check->passes);
  // The coil at its hottest, of 12 ohm times 1.4, on 29.6 V.
  EXPECT_NEAR(check->value, 29.6 * 16.8 / 31.8, 0.6);
}

TEST(Supply, ANameOfAModelSaysIt) {
  Graft graft = valve_on(24.0, {});
  graft.devices[3] = device("Y1", "lamp");
  graft.devices[3].model = "lamp 12 V 5 W";
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::rated_volts, "Y1");
  ASSERT_TRUE(check);
  EXPECT_FALSE(check->passes);
}

TEST(Supply, WhatNobodyStatedIsNotJudgedAndSaidOnce) {
  const DesignReport report = design_circuits(valve_on(12.0, {}));
  EXPECT_FALSE(check_of(report, CheckKind::rated_volts, "Y1"));
  EXPECT_FALSE(check_of(report, CheckKind::load_dump, "Y1"));
  EXPECT_FALSE(check_of(report, CheckKind::jump_start, "Y1"));
  ASSERT_EQ(report.missing.size(), 1U);
  EXPECT_EQ(report.missing[0].subject, "Y1");
  EXPECT_EQ(report.missing[0].fact, MissingFact::rating);
  EXPECT_TRUE(report.passes) << "a rating that nobody stated is no failure";
}

TEST(Supply, APartThatWasThereIsNotAskedAbout) {
  Graft graft = valve_on(12.0, {});
  graft.wires.push_back(*graft.plan[1].added);
  graft.wires.back().area = square_millimetres(1.0);
  graft.plan.erase(graft.plan.begin() + 1);
  EXPECT_TRUE(design_circuits(graft).missing.empty());
}

TEST(Supply, ADonorForAnotherSupplyFails) {
  Graft graft = small_loom();
  graft.modules[0].rated = Volts{24.0};
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::rated_volts, "box");
  ASSERT_TRUE(check);
  EXPECT_FALSE(check->passes);
  EXPECT_FALSE(report.passes);
}

TEST(Supply, ADonorForAnotherSupplyFailsWithoutAnyChange) {
  Graft graft = small_loom();
  graft.plan.clear();
  Module donor = graft.modules[0];
  donor.id = "other";
  donor.role = ModuleRole::donor;
  donor.rated = Volts{24.0};
  Connector plug = graft.connectors[0];
  plug.id = "other.C1";
  donor.connectors = {plug.id};
  for (Pin& pin : donor.pins) pin.at.connector = plug.id;
  graft.connectors.push_back(plug);
  graft.modules.push_back(donor);
  const DesignReport report = design_circuits(graft);
  EXPECT_FALSE(report.passes);
  EXPECT_TRUE(check_of(report, CheckKind::rated_volts, "other"));
}

struct Dump {
  double withstands_v;
  const char* alternator;  // its suppression; nothing: none is in the document
  bool passes;
  bool judged;
};

TEST(Supply, ALoadDumpIsJudgedByWhatThePartWithstands) {
  // ISO 16750-2 on 12 V: 35 V clamped, 101 V not.
  const Dump dumps[] = {{30.0, nullptr, false, true}, {40.0, nullptr, false, false},
                        {120.0, nullptr, true, true}, {40.0, "diode", true, true},
                        {40.0, "none", false, true},  {40.0, "", false, false}};
  for (const Dump& dump : dumps) {
    Graft graft = valve_on(12.0, 12.0);
    graft.devices[3].withstands = Volts{dump.withstands_v};
    if (dump.alternator) {
      graft.devices.push_back(device("A1", "alternator"));
      graft.devices.back().suppression = dump.alternator;
    }
    const DesignReport report = design_circuits(graft);
    const Check* check = check_of(report, CheckKind::load_dump, "Y1");
    ASSERT_TRUE(check);
    EXPECT_EQ(check->passes, dump.passes) << dump.withstands_v;
    EXPECT_EQ(check->judged, dump.judged) << dump.withstands_v;
  }
}

TEST(Supply, AJumpStartIsJudgedByWhatThePartWithstands) {
  for (const auto& [withstands, passes] : {std::pair{20.0, false}, std::pair{26.0, true}}) {
    Graft graft = valve_on(12.0, 12.0);
    graft.devices[3].withstands = Volts{withstands};
    const DesignReport report = design_circuits(graft);
    const Check* check = check_of(report, CheckKind::jump_start, "Y1");
    ASSERT_TRUE(check);
    EXPECT_EQ(check->passes, passes);
    EXPECT_TRUE(check->judged);
    EXPECT_TRUE(check->assumed) << "24 V for a minute is from memory";
  }
  // On 24 V no standard asks for one.
  Graft graft = valve_on(24.0, 24.0);
  graft.devices[3].withstands = Volts{40.0};
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::jump_start, "Y1");
  ASSERT_TRUE(check);
  EXPECT_FALSE(check->passes || check->judged);
}

TEST(Supply, AReversedBatteryBlowsTheFuseOfASuppressionDiode) {
  Graft graft = valve_on(12.0, 12.0);
  EXPECT_FALSE(check_of(design_circuits(graft), CheckKind::reversed_battery, "Y1"));
  graft.devices[3].suppression = "diode";
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::reversed_battery, "Y1");
  ASSERT_TRUE(check);
  EXPECT_TRUE(check->passes);
  EXPECT_TRUE(check->assumed);
  EXPECT_NEAR(check->limit, 13.5, 1e-6) << "1.35 times 10 A";
  EXPECT_GT(check->value, 13.5);
  EXPECT_LT(check->value, 14.0 / 0.08) << "an output and two wires are in the way";
}

TEST(Supply, AReversedBatteryBurnsADiodeWithoutAFuse) {
  Graft graft = valve_on(12.0, 12.0);
  graft.devices[3].suppression = "diode";
  graft.plan = {adding(wire("feed", {"battery", "+"}, {"Y1", "1"}, 3.0)),
                adding(wire("drive", {"Y1", "2"}, {"box.C1", "2"}, 2.0))};
  const DesignReport report = design_circuits(graft);
  const Check* check = check_of(report, CheckKind::reversed_battery, "Y1");
  ASSERT_TRUE(check);
  EXPECT_TRUE(check->at_most);
  EXPECT_FALSE(check->passes);
}

}  // namespace
}  // namespace loomgraft::design_supply_test
