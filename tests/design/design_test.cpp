#include "design/design.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "design/json.h"
#include "design/what_if.h"
#include "standards/rule_sets.h"
#include "tests/design/report_queries.h"
#include "tests/design/small_loom.h"

namespace loomgraft::design_design_test {
namespace {

using samples::check_of;
using samples::wire_of;

const Remedy* remedy_of(const DesignReport& report, RemedyKind kind) {
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Remedy& remedy : circuit.remedies) {
      if (remedy.kind == kind) return &remedy;
    }
  }
  return nullptr;
}

Graft with_area(Graft graft, const std::string& wire, double mm2) {
  for (PlanStep& step : graft.plan) {
    if (step.added && step.added->id == wire) step.added->area = square_millimetres(mm2);
  }
  return graft;
}

TEST(Design, GroupsAValveWithItsWires) {
  const DesignReport report = design_circuits(small_loom());
  ASSERT_EQ(report.circuits.size(), 2U);  // the feed to the fuse, and the valve
  EXPECT_EQ(report.circuits[1].id, "Y1");
  EXPECT_EQ(report.circuits[1].wires.size(), 2U);
}

TEST(Design, PassesAtSmallLoads) {
  const DesignReport report = design_circuits(small_loom());
  EXPECT_TRUE(report.passes);
  ASSERT_TRUE(check_of(report, CheckKind::wire_drop, "feed"));
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks)
      EXPECT_TRUE(check.passes || !check.judged)
          << name_of(check.kind) << " " << id_of(check.subject) << ": " << check.value << " against "
          << check.limit << " " << check.unit;
  }
  EXPECT_TRUE(report.back_feeds.empty());
}

// The one outside figure of a drop: 5 m of 1.5 mm2 at 4.17 A and 0.0127 ohm/m lose 0.265 V
// (midmarchartsbooks.org/A/size-cable-chart.html). The check is at its hottest, so at least that, and at most
// by the copper factor of 105 C, 1.334 (0.00393 per kelvin, copper table).
TEST(Design, VoltageDropMatchesAPublishedChart) {
  const double ohms = 13.8 / 4.17;
  Graft graft = with_area(small_loom({ohms, 5.0, 20.0}), "feed", 1.5);
  const DesignReport report = design_circuits(graft);
  const Check* drop = check_of(report, CheckKind::wire_drop, "feed");
  const WireDesign* feed = wire_of(report, "feed");
  ASSERT_TRUE(drop && feed);
  const double amperes = std::stod(drop->why.inputs.front().value);
  EXPECT_GE(drop->value, 0.265 / 4.17 * amperes * 0.99);
  EXPECT_LE(drop->value, 0.265 / 4.17 * amperes * 1.35);
}

// Examples of wire choice at 20 C, FAA AC 43.13-1B CHG 1 (2001-09-27) para 11-66, p. 11-22
// (https://www.landseaskyspace.com/ac4313/p11-22.html): run in feet at 20 A, drop allowed, gauge chosen with
// its copper area (ASTM B258). Of the metric sizes on sale the design
// must take one that is thicker than the gauge refused, and no thicker than the first that is no thinner than
// the one chosen.
struct WireChoice {
  double feet;
  double allowed_v;
  double refused_mm2;  // the next thinner gauge
  double gauge_mm2;
};

Graft choice_loom(const WireChoice& choice) {
  constexpr double running = 29.6;  // data/network_figures.csv, 24 V: drops are judged while the engine runs
  const double metres = 0.3048 * choice.feet;
  Graft graft = small_loom({(running - choice.allowed_v) / 20.0, metres, 25.0});
  graft.vehicle.supply = Volts{24.0};
  graft.devices[3].kind = "heater";
  graft.devices[3].pull_in.reset();
  LoomPath cool;
  cool.id = "cool";
  cool.hottest = Celsius{20.0};
  graft.paths.push_back(cool);
  for (PlanStep& step : graft.plan) {
    if (step.added) step.added->along = {"cool"};
    if (step.added && step.added->id == "drive") step.added->length = Metres{0.05};
  }
  graft.rules.overrides = {{"drop_supply_v", choice.allowed_v, "the example's"},
                           {"drop_path_fraction", 1.0, "not in the example"},
                           {"fuse_load_fraction", 1.0, "not in the example"}};
  // The output of the small loom would not carry it: the load returns to the body.
  graft.devices.push_back(device("G9", "earth"));
  for (PlanStep& step : graft.plan) {
    if (step.added && step.added->id == "drive") step.added->to = {"G9", "1"};
  }
  return graft;
}

TEST(Design, ChoosesTheSizesOfPublishedExamples) {
  for (const WireChoice& choice :
       {WireChoice{107, 1.0, 8.37, 13.30}, {90, 0.5, 13.30, 21.15}, {50, 1.0, 5.26, 8.37}}) {
    const Graft graft = choice_loom(choice);
    const WireDesign* feed = nullptr;
    const DesignReport report = design_circuits(graft);
    feed = wire_of(report, "feed");
    ASSERT_TRUE(feed);
    const auto& stock = rule_set("commercial_24v")->stock;
    const auto expected = std::find_if(stock.begin(), stock.end(), [&](SquareMetres area) {
      return in_square_millimetres(area) >= choice.gauge_mm2 * 0.99;
    });
    ASSERT_NE(expected, stock.end());
    EXPECT_LE(feed->smallest, *expected) << choice.feet << " ft, limited by " << feed->limited_by;
    EXPECT_GT(in_square_millimetres(feed->smallest), choice.refused_mm2) << choice.feet << " ft";
    EXPECT_EQ(feed->limited_by, "volts lost in the wire");
  }
}

TEST(Design, TakesTheSmallestSizeThatPasses) {
  const Graft graft = small_loom({6.0, 12.0, 10.0});
  const DesignReport report = design_circuits(graft);
  const WireDesign* feed = wire_of(report, "feed");
  ASSERT_TRUE(feed);
  const auto& stock = default_rule_set(graft.vehicle.supply).stock;
  const auto chosen = std::find(stock.begin(), stock.end(), feed->smallest);
  ASSERT_NE(chosen, stock.end());
  ASSERT_NE(chosen, stock.begin()) << "the case is too easy to show anything";
  const DesignReport smaller =
      design_circuits(with_area(graft, "feed", in_square_millimetres(*(chosen - 1))));
  EXPECT_FALSE(smaller.passes) << "limited by " << feed->limited_by;
  const DesignReport same = design_circuits(with_area(graft, "feed", in_square_millimetres(feed->smallest)));
  EXPECT_TRUE(check_of(same, CheckKind::wire_drop, "feed")->passes);
}

// What fails when every wire has the size chosen, except one that is a size smaller.
std::set<std::string> failing(const Graft& graft, const DesignReport& chosen, const std::string& smaller,
                              SquareMetres than) {
  const auto& stock = default_rule_set(graft.vehicle.supply).stock;
  Graft stated = graft;
  for (const CircuitDesign& circuit : chosen.circuits) {
    for (const WireDesign& item : circuit.wires)
      stated = with_area(std::move(stated), item.wire, in_square_millimetres(item.smallest));
  }
  if (!smaller.empty()) {
    const double size = in_square_millimetres(*(std::ranges::find(stock, than) - 1));
    stated = with_area(std::move(stated), smaller, size);
  }
  std::set<std::string> found;
  for (const CircuitDesign& circuit : design_circuits(stated, {false, true, false}).circuits) {
    for (const Check& check : circuit.checks) {
      if (!check.passes) found.insert(std::string(name_of(check.kind)) + " " + id_of(check.subject));
    }
  }
  return found;
}

TEST(Design, NoSingleWireCouldBeASizeSmaller) {
  EXPECT_TRUE(rc::check("every size above the smallest is needed with the others as they are", [] {
    const Graft graft = small_loom({*rc::gen::inRange(20, 200) / 10.0, *rc::gen::inRange(2, 400) / 10.0,
                                    static_cast<double>(*rc::gen::element(5, 10, 15, 20))});
    const DesignReport report = design_circuits(graft, {false, true, false});
    const SquareMetres first = default_rule_set(graft.vehicle.supply).stock.front();
    const std::set<std::string> before = failing(graft, report, "", {});
    for (const CircuitDesign& circuit : report.circuits) {
      for (const WireDesign& item : circuit.wires) {
        if (item.smallest == first) continue;
        const std::set<std::string> after = failing(graft, report, item.wire, item.smallest);
        RC_ASSERT(!std::ranges::includes(before, after));
      }
    }
  }));
}

TEST(Design, ProposesARelayForAnOverloadedOutput) {
  const DesignReport report = design_circuits(small_loom({4.0, 3.0, 15.0}));
  const Check* driver = check_of(report, CheckKind::driver_current, "box.C1:2");
  ASSERT_TRUE(driver);
  EXPECT_FALSE(driver->passes);
  EXPECT_GT(driver->value, 2.0);  // 14.8 V over 4 ohm and what a driver has
  const Remedy* relay = remedy_of(report, RemedyKind::relay);
  ASSERT_TRUE(relay);
  EXPECT_TRUE(relay->passes);
  EXPECT_FALSE(relay->after.empty());
  for (const Check& check : relay->after)
    EXPECT_TRUE(check.passes || !check.judged)
        << name_of(check.kind) << " " << id_of(check.subject) << " " << check.value << " " << check.limit;
}

TEST(Design, ProposesADiodeForTooMuchCoilEnergy) {
  Graft graft = small_loom();
  graft.devices[3].inductance = Henries{0.5};  // 0.5 H at 1.1 A is 300 mJ; the default clamp absorbs 50 mJ
  const DesignReport report = design_circuits(graft);
  const Check* clamp = check_of(report, CheckKind::clamp_energy, "box.C1:2");
  ASSERT_TRUE(clamp);
  EXPECT_FALSE(clamp->passes);
  const Remedy* diode = remedy_of(report, RemedyKind::diode);
  ASSERT_TRUE(diode);
  EXPECT_TRUE(diode->passes);
}

// An input that its source says has no pull-up reads nothing while its switch is open.
Graft switch_without_pull_up() {
  Graft graft = small_loom();
  Pin input = module_pin("5", "request", PinClass::switch_to_earth_input);
  input.bias = "none";
  graft.modules[0].pins.push_back(input);
  graft.devices.push_back(device("S1", "switch_to_earth"));
  graft.devices.push_back(device("G9", "earth"));
  graft.plan.push_back(adding(wire("ask", {"S1", "1"}, {"box.C1", "5"}, 2.0)));
  graft.plan.push_back(adding(wire("ask_earth", {"S1", "2"}, {"G9", "1"}, 0.5)));
  return graft;
}

TEST(Design, ProposesAPullUpWhereTheModuleHasNone) {
  Graft graft = switch_without_pull_up();
  const DesignReport report = design_circuits(graft);
  const Check* open = check_of(report, CheckKind::level_open, "box.C1:5");
  ASSERT_TRUE(open);
  EXPECT_FALSE(open->passes);
  const Remedy* pull_up = remedy_of(report, RemedyKind::pull_up);
  ASSERT_TRUE(pull_up);
  EXPECT_TRUE(pull_up->passes);
  // 11 V at its lowest over 1 mA wetting current: the largest E12 value (IEC 60063) is 10 kohm.
  EXPECT_NE(pull_up->text.find("10 kΩ"), std::string::npos) << pull_up->text;
  graft.modules[0].pins.back().bias.clear();
  EXPECT_TRUE(check_of(design_circuits(graft), CheckKind::level_open, "box.C1:5")->passes);
}

TEST(Design, LimitsAFuseToWhatItsWireCarries) {
  const DesignReport report = design_circuits(with_area(small_loom({12.0, 3.0, 20.0}), "feed", 0.5));
  const Check* check = check_of(report, CheckKind::fuse_of_wire, "feed");
  ASSERT_TRUE(check);
  EXPECT_FALSE(check->passes);
  EXPECT_EQ(check->value, 20.0);
  EXPECT_TRUE(check_of(design_circuits(with_area(small_loom({12.0, 3.0, 20.0}), "feed", 6.0)),
                       CheckKind::fuse_of_wire, "feed")
                  ->passes);
}

// A lift pump on a relay that is too small for it, and on its own fuse.
Graft pump_loom(double contacts_a) {
  Graft graft = small_loom();
  graft.devices.push_back(device("M1", "motor"));
  graft.devices.back().model = "fuel pump 12 V";  // runs at 5 A, stands at 18 A: data/devices/motors.csv
  graft.devices.push_back(device("S1", "switch"));
  graft.devices.back().rating = Amperes{contacts_a};
  graft.devices.push_back(device("F9", "fuse"));
  graft.devices.back().rating = Amperes{7.5};
  graft.devices.push_back(device("G9", "earth"));
  graft.plan.push_back(adding(wire("m_feed", {"battery", "+"}, {"F9", "1"}, 0.1)));
  graft.plan.push_back(adding(wire("m_switch", {"F9", "2"}, {"S1", "1"}, 1.0)));
  graft.plan.push_back(adding(wire("m_plus", {"S1", "2"}, {"M1", "1"}, 2.0)));
  graft.plan.push_back(adding(wire("m_minus", {"M1", "2"}, {"G9", "1"}, 0.5)));
  return graft;
}

TEST(Design, RequiresThreeTimesTheRunningCurrentOfAMotorsContactsAndWires) {
  const DesignReport report = design_circuits(pump_loom(10.0));
  const Check* contacts = check_of(report, CheckKind::motor_contacts, "S1");
  ASSERT_TRUE(contacts);
  EXPECT_FALSE(contacts->passes);
  EXPECT_NEAR(contacts->limit, 15.0, 1e-9);
  const Check* feed = check_of(report, CheckKind::motor_wire, "m_plus");
  ASSERT_TRUE(feed);
  EXPECT_TRUE(feed->passes);
  const Check* alone = check_of(report, CheckKind::motor_alone, "F9");
  ASSERT_TRUE(alone);
  EXPECT_TRUE(alone->passes);
  EXPECT_TRUE(check_of(design_circuits(pump_loom(20.0)), CheckKind::motor_contacts, "S1")->passes);
}

// 18 A through 7.5 A is 2.4 times its rating: between the blade gates of 2 (0.15 s) and 3.5 (0.04 s).
TEST(Design, ReportsAFuseThatMayBlowWhenItsMotorStarts) {
  Graft graft = pump_loom(20.0);
  const Check* start = nullptr;
  const DesignReport small = design_circuits(graft);
  start = check_of(small, CheckKind::motor_start, "F9");
  ASSERT_TRUE(start);
  EXPECT_FALSE(start->passes);
  EXPECT_GT(start->value, 0.04);
  EXPECT_LT(start->value, 0.15);
  for (Device& item : graft.devices) {
    if (item.id == "F9") item.rating = Amperes{15.0};
  }
  const DesignReport larger = design_circuits(graft);
  EXPECT_TRUE(check_of(larger, CheckKind::motor_start, "F9")->passes);
}

TEST(Design, ReportsAFuseThatIsTooLargeForItsWire) {
  const DesignReport report = design_circuits(with_area(small_loom({12.0, 3.0, 40.0}), "feed", 0.5));
  const Check* protection = check_of(report, CheckKind::protection, "feed");
  ASSERT_TRUE(protection);
  EXPECT_FALSE(protection->passes);
  EXPECT_GT(wire_of(report, "feed")->smallest, square_millimetres(0.5));
}

TEST(Design, ListsItsAssumptions) {
  Graft graft = small_loom();
  graft.plan[1].added->length.reset();
  const DesignReport report = design_circuits(graft);
  const bool listed = std::any_of(report.assumptions.begin(), report.assumptions.end(),
                                  [](const Assumption& item) { return item.subject == "feed"; });
  EXPECT_TRUE(listed);
  EXPECT_TRUE(check_of(report, CheckKind::wire_drop, "feed")->assumed);
}

TEST(Design, AppliesAnOverriddenRule) {
  Graft graft = small_loom();
  graft.rules.overrides = {{"drop_supply_v", 0.001, "a test"}};
  const DesignReport report = design_circuits(graft);
  const Check* drop = check_of(report, CheckKind::wire_drop, "feed");
  ASSERT_TRUE(drop);
  EXPECT_EQ(drop->limit, 0.001);
  EXPECT_NE(drop->why.source.find("a test"), std::string::npos);
}

TEST(Design, RefusesForbiddenCircuits) {
  Graft graft = small_loom();
  graft.devices[3].forbidden = true;
  const DesignReport report = design_circuits(graft);
  EXPECT_FALSE(wire_of(report, "feed"));
  const bool told = std::any_of(report.problems.begin(), report.problems.end(),
                                [](const Problem& problem) { return problem.code == "forbidden"; });
  EXPECT_TRUE(told);
}

void expect_finite(const nlohmann::ordered_json& json) {
  if (json.is_number()) {
    EXPECT_TRUE(std::isfinite(json.get<double>()));
  }
  if (!json.is_structured()) return;
  for (const auto& item : json) expect_finite(item);
}

TEST(Design, GivesFiniteFiguresForEveryBadLoom) {
  Graft no_battery = small_loom();
  no_battery.devices.erase(no_battery.devices.begin());
  Graft zero_length = small_loom();
  zero_length.plan[1].added->length = Metres{0.0};
  Graft zero_area = with_area(small_loom(), "feed", 0.0);
  Graft negative = small_loom();
  negative.devices[3].resistance = Ohms{-3.0};
  Graft unknown_device = small_loom();
  unknown_device.devices[3].kind = "flux capacitor";
  Graft dead_short = small_loom();
  dead_short.plan.push_back(adding(wire("oops", {"battery", "+"}, {"G1", "1"}, 0.1)));
  Graft loose = small_loom();
  loose.plan.push_back(adding(wire("loose", {}, {}, 1.0)));
  for (const Graft& graft :
       {no_battery, zero_length, zero_area, negative, unknown_device, dead_short, loose, Graft{}}) {
    const DesignReport report = design_circuits(graft);
    expect_finite(to_json(report));
  }
}

TEST(Design, ReportsADeadShortAsAFailedCheck) {
  Graft graft = small_loom();
  graft.plan.push_back(adding(wire("oops", {"battery", "+"}, {"G1", "1"}, 0.1)));
  const DesignReport report = design_circuits(graft);
  const Check* heat = check_of(report, CheckKind::heat, "oops");
  ASSERT_TRUE(heat);
  EXPECT_FALSE(heat->passes);
  EXPECT_FALSE(report.passes);
}

TEST(Design, GivesTheSameReportTwice) {
  EXPECT_EQ(to_json(design_circuits(small_loom())).dump(), to_json(design_circuits(small_loom())).dump());
}

TEST(WhatIf, ChangesOneFact) {
  const Graft graft = small_loom();
  const auto other = changed(graft, "Y1.resistance_ohm=4");
  ASSERT_TRUE(other) << other.error().message;
  const WhatIfReport report = what_if(design_circuits(graft), design_circuits(*other), "Y1.resistance_ohm=4");
  EXPECT_TRUE(report.passed_before);
  EXPECT_FALSE(report.passes_after);
  ASSERT_FALSE(report.checks.empty());
  EXPECT_FALSE(report.checks.front().after->passes);
}

TEST(WhatIf, RefusesWhatDoesNotFit) {
  const Graft graft = small_loom();
  for (const char* change :
       {"", "Y1", "Y1=3", "nothing.length_mm=3", "feed.length_mm=\"long\"", "feed.colourful=1"})
    EXPECT_FALSE(changed(graft, change)) << change;
}

}  // namespace
}  // namespace loomgraft::design_design_test
