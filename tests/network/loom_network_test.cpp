#include "network/loom_network.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "standards/copper.h"
#include "standards/network_figures.h"
#include "standards/wire_sizes.h"
#include "tests/network/small_loom.h"

namespace loomgraft::network_loom_network_test {
namespace {

using namespace samples;

struct Solved {
  LoomNetwork network;
  NetworkSolution solution;

  double volts(const std::string& at) const {
    const auto node = node_at(network, end_of(at));
    return node ? solution.point.nodes[node->value].si : std::nan("");
  }
  double inner_volts(const std::string& at) const {
    const auto node = inner_node_at(network, end_of(at));
    return node ? solution.point.nodes[node->value].si : std::nan("");
  }
  // Of the only branch of that kind and subject.
  double current(BranchKind kind, const std::string& subject) const {
    for (std::size_t k = 0; k < network.branches.size(); ++k) {
      if (network.branches[k].kind == kind && network.branches[k].subject == subject)
        return branch_current(network, solution, k).si;
    }
    return std::nan("");
  }
};

Solved solved(const Graft& graft, const Condition& condition = {}, const NetworkOptions& options = {}) {
  Solved all{network_of(graft, condition, options), {}};
  auto solution = solve(all.network);
  EXPECT_TRUE(solution) << (solution ? "" : solution.error().message);
  if (solution) all.solution = std::move(*solution);
  return all;
}

bool has_problem(const Problems& problems, std::string_view code) {
  return std::ranges::any_of(problems, [&](const Problem& problem) { return problem.code == code; });
}

bool assumed(const LoomNetwork& network, std::string_view subject, std::string_view quantity) {
  return std::ranges::any_of(network.assumptions, [&](const Assumption& item) {
    return item.subject == subject && item.quantity == quantity;
  });
}

double figure(const char* name) {
  return network_figure(name, SystemVolts::nominal_12).middle();
}

double wire_ohms(double mm2, double metres, double celsius) {
  return wire_size_of(square_millimetres(mm2)).resistance.si * metres * copper_factor({celsius});
}

// The sum of the resistances round one loop, by hand.
TEST(LoomNetwork, SolvesAHeaterByHand) {
  const Solved all = solved(heater_loom());
  const double volts = figure("working_v");
  const double degrees = figure("ambient_c");
  // Fuse of 10 A, cold, with its clips: data/fuses.csv and data/devices/power.csv.
  double fuse = 0.0;
  for (const NetworkBranch& branch : all.network.branches) {
    if (branch.kind == BranchKind::fuse) fuse = all.network.circuit.resistors[branch.index].resistance.si;
  }
  EXPECT_GT(fuse, 0.005);
  EXPECT_LT(fuse, 0.02);
  const double loop =
      figure("battery_ohm") + 3 * wire_ohms(1.0, 2.0, degrees) + fuse + 6.0 + wire_ohms(10.0, 0.5, degrees);
  EXPECT_NEAR(all.current(BranchKind::fuse, "F1"), volts / loop, 1e-8);
  EXPECT_NEAR(all.current(BranchKind::consumer, "H1"), volts / loop, 1e-8);
  EXPECT_TRUE(all.network.problems.empty());
}

TEST(LoomNetwork, TakesTheEndsOfItsSpreads) {
  const Solved weak = solved(heater_loom(), {}, {LoomState::as_planned, Corner::weakest});
  const Solved middle = solved(heater_loom());
  const Solved strong = solved(heater_loom(), {}, {LoomState::as_planned, Corner::strongest});
  const double least = weak.volts("H1:1") - weak.volts("H1:2");
  const double usual = middle.volts("H1:1") - middle.volts("H1:2");
  const double most = strong.volts("H1:1") - strong.volts("H1:2");
  EXPECT_LT(least, usual);
  EXPECT_LT(usual, most);
}

TEST(LoomNetwork, HeatsCopperWhereItRuns) {
  Graft graft = heater_loom();
  graft.paths = {{"p1", "", "", std::nullopt, std::nullopt, std::nullopt, Celsius{120}, std::nullopt, ""}};
  graft.wires[1].along = {"p1"};
  const LoomNetwork network = network_of(graft, {}, {LoomState::as_found, Corner::weakest});
  for (const NetworkBranch& branch : network.branches) {
    if (branch.kind != BranchKind::wire || branch.subject != "w2") continue;
    EXPECT_DOUBLE_EQ(network.circuit.resistors[branch.index].resistance.si, wire_ohms(1.0, 2.0, 120));
  }
}

TEST(LoomNetwork, ConditionsOpenAndClose) {
  Condition apart;
  apart.removed = {"F1"};
  EXPECT_NEAR(solved(heater_loom(), apart).volts("H1:1"), 0.0, 1e-6);
  Condition lifted;
  lifted.battery_off = true;
  EXPECT_NEAR(solved(heater_loom(), lifted).volts("H1:1"), 0.0, 1e-9);
  Condition stated;
  stated.supply = Volts{14.4};
  EXPECT_GT(solved(heater_loom(), stated).volts("BAT:+"), 14.3);
}

TEST(LoomNetwork, AShortCircuitIsAResult) {
  Graft graft = heater_loom();
  graft.wires.push_back(wire("short", "H1:1", "H1:2", 1.0, 0.01));
  const Solved all = solved(graft);
  EXPECT_GT(all.current(BranchKind::fuse, "F1"), 50.0);
}

TEST(LoomNetwork, RelayFollowsItsSwitch) {
  const Solved rest = solved(relay_loom());
  ASSERT_EQ(rest.solution.relays.size(), 1u);
  EXPECT_EQ(rest.solution.relays[0], RelayPosition::at_rest);
  EXPECT_LT(rest.volts("L1:1"), 0.1);
  EXPECT_GT(rest.volts("L2:1"), 10.0) << "its break contact is closed at rest";
  Condition pressed;
  pressed.worked = {"S1"};
  const Solved worked = solved(relay_loom(), pressed);
  EXPECT_EQ(worked.solution.relays[0], RelayPosition::pulled_in);
  EXPECT_GT(worked.volts("L1:1"), 10.0);
  EXPECT_LT(worked.volts("L2:1"), 0.1);
}

TEST(LoomNetwork, RelayTooWeaklyFedStaysAtRest) {
  Condition low;
  low.worked = {"S1"};
  low.supply = Volts{5.0};
  EXPECT_EQ(solved(relay_loom(), low).solution.relays[0], RelayPosition::at_rest);
}

// Its coil is fed through its own break contact: a buzzer.
TEST(LoomNetwork, SaysThatARelayOscillates) {
  Graft graft = relay_loom();
  graft.wires[1] = wire("w2", "K1:87a", "K1:86");
  Condition pressed;
  pressed.worked = {"S1"};
  const Solved all = solved(graft, pressed);
  EXPECT_EQ(all.solution.relays[0], RelayPosition::oscillating);
  EXPECT_TRUE(has_problem(all.solution.problems, "relay-oscillates"));
}

// Fed through its own make contact it never starts; once held by hand it has contacts closed.
TEST(LoomNetwork, FindsRelaysFromAllAtRest) {
  Graft graft = relay_loom();
  graft.wires[1] = wire("w2", "K1:87", "K1:86");
  Condition pressed;
  pressed.worked = {"S1"};
  EXPECT_EQ(solved(graft, pressed).solution.relays[0], RelayPosition::at_rest);
  pressed.worked = {"S1", "K1"};
  EXPECT_GT(solved(graft, pressed).volts("L1:1"), 10.0);
}

TEST(LoomNetwork, ModuleDrivesItsValve) {
  const Solved off = solved(module_loom());
  EXPECT_NEAR(off.current(BranchKind::consumer, "V1"), 0.0, 1e-3);
  Condition on;
  on.driven = {{"C1", "4"}};
  const Solved all = solved(module_loom(), on);
  EXPECT_NEAR(all.current(BranchKind::consumer, "V1"), 12.5 / 16.0, 0.1);
  EXPECT_GT(all.inner_volts("C1:4"), all.inner_volts("ECU:earth"));
}

TEST(LoomNetwork, SharedEarthLiftsWhatTheModuleReads) {
  Graft graft = module_loom();
  graft.wires[5] = wire("w6", "C1:3", "E1:1", 0.35, 6.0);  // a thin, long earth wire
  Condition on;
  on.driven = {{"C1", "4"}};
  const double rest = solved(graft).inner_volts("ECU:earth");
  const double lifted = solved(graft, on).inner_volts("ECU:earth");
  EXPECT_GT(lifted, rest + 0.1);
}

TEST(LoomNetwork, ReferenceFeedsAPotentiometer) {
  const Solved all = solved(module_loom());
  const double earth = all.inner_volts("ECU:earth");
  EXPECT_NEAR(all.volts("P1:1") - earth, 5.0, 0.05);
  EXPECT_NEAR(all.inner_volts("C1:8") - earth, 2.5, 0.05) << "the wiper stands in the middle";
  Condition worked;
  worked.worked = {"P1"};
  EXPECT_NEAR(solved(module_loom(), worked).inner_volts("C1:8") - earth, 4.5, 0.1);
}

TEST(LoomNetwork, ReferenceLimitsItsCurrent) {
  Graft graft = module_loom();
  graft.wires.push_back(wire("short", "P1:1", "P1:2", 0.5, 0.1));
  const Solved all = solved(graft);
  EXPECT_NEAR(std::abs(all.current(BranchKind::contact, "C1:5")), 0.1, 1e-3);  // data/pin_classes.csv
  graft.modules[0].pins[4].limits.current = Amperes{0.25};
  EXPECT_NEAR(std::abs(solved(graft).current(BranchKind::contact, "C1:5")), 0.25, 1e-3);
}

TEST(LoomNetwork, InputReadsItsSwitch) {
  const Solved open = solved(module_loom());
  EXPECT_GT(open.inner_volts("C1:6"), 10.0);
  Condition pressed;
  pressed.worked = {"S1"};
  EXPECT_LT(solved(module_loom(), pressed).inner_volts("C1:6"), 0.2);
}

TEST(LoomNetwork, NothingLivesInAModuleWithoutItsFeed) {
  Condition blown;
  blown.removed = {"F2"};
  const Solved all = solved(module_loom(), blown);
  EXPECT_LT(all.volts("P1:1"), 0.2) << "no 5 V";
  Condition off;
  off.key = KeyPosition::off;
  const Solved asleep = solved(module_loom(), off);
  EXPECT_LT(asleep.volts("P1:1"), 0.2);
  EXPECT_GT(asleep.volts("C1:1"), 10.0) << "its battery feed stays";
  EXPECT_LT(asleep.volts("C1:2"), 0.5);
}

TEST(LoomNetwork, UnpluggedCavitiesStandAlone) {
  Condition apart;
  apart.unplugged = {"C1"};
  apart.driven = {{"C1", "4"}};
  const Solved all = solved(module_loom(), apart);
  EXPECT_GT(all.volts("C1:2"), 12.0);
  EXPECT_LT(std::abs(all.inner_volts("C1:2") - all.inner_volts("ECU:earth")), 0.01);
  EXPECT_GT(all.volts("C1:4"), 12.0) << "the valve lifts its open wire to the feed";
}

TEST(LoomNetwork, HalvesOfALoomMeetInTheirPlug) {
  Graft graft = heater_loom();
  graft.connectors = {connector("X1"), connector("X2")};
  graft.connectors[0].mates = "X2";
  graft.connectors[1].mates = "X1";
  graft.wires[1] = wire("w2", "F1:2", "X1:a");
  graft.wires.push_back(wire("w5", "X2:a", "H1:1"));
  const Solved all = solved(graft);
  EXPECT_GT(all.volts("H1:1"), 12.0);
  EXPECT_GT(all.volts("X1:a"), all.volts("X2:a"));
  Condition apart;
  apart.unplugged = {"X2"};
  EXPECT_LT(solved(graft, apart).volts("H1:1"), 0.1);
}

TEST(LoomNetwork, DonorTakesThePlugsOfTheFoundModule) {
  Graft graft = module_loom();
  Module donor = graft.modules[0];
  donor.id = "DONOR";
  donor.role = ModuleRole::donor;
  donor.connectors = {"D1"};
  for (Pin& item : donor.pins) item.at.connector = "D1";
  donor.pins[3].pin_class = PinClass::high_side_driver;  // where the found module drives the valve to earth
  graft.modules.push_back(donor);
  graft.connectors.push_back(connector("D1"));
  graft.connectors.back().name = "C1";
  Condition on;
  on.driven = {{"D1", "4"}};
  const Solved planned = solved(graft, on);
  EXPECT_NEAR(planned.current(BranchKind::consumer, "V1"), 0.0, 0.05) << "a feed at both ends of the valve";
  EXPECT_TRUE(inner_node_at(planned.network, {"D1", "4"}));
  const Solved found = solved(graft, on, {LoomState::as_found, Corner::nominal});
  EXPECT_GT(found.current(BranchKind::consumer, "V1"), 0.5);
}

TEST(LoomNetwork, SaysWhatItAssumed) {
  Graft graft = module_loom();
  graft.wires[8].length.reset();
  graft.wires[8].area.reset();
  graft.wires[10].to = {};
  std::erase_if(graft.wires, [](const Wire& item) { return item.id == "w2" || item.id == "w6"; });
  const Solved all = solved(graft);
  EXPECT_TRUE(assumed(all.network, "w9", "length"));
  EXPECT_TRUE(assumed(all.network, "w9", "area"));
  EXPECT_TRUE(assumed(all.network, "w11", "far end"));
  EXPECT_TRUE(assumed(all.network, "ECU", "battery feed"));
  EXPECT_TRUE(assumed(all.network, "ECU", "earth"));
  EXPECT_NEAR(all.volts("P1:1"), 5.0, 0.2) << "it lives on what was assumed";
}

TEST(LoomNetwork, TwoPinTablesAreEnough) {
  Graft graft = module_loom();
  graft.devices.clear();
  graft.wires.clear();
  const Solved all = solved(graft);
  EXPECT_TRUE(assumed(all.network, "vehicle", "battery"));
  EXPECT_GT(all.inner_volts("ECU:switched feed"), 11.0);
}

TEST(LoomNetwork, APresumedSafetyWireBetweenTwoJointsIsOutOfTheNetwork) {
  Graft graft = heater_loom();
  graft.devices.push_back(device("J1", "splice"));
  graft.devices.push_back(device("J2", "splice"));
  graft.wires[1] = wire("w2", "F1:2", "J1:1");
  graft.wires.push_back(wire("w5", "J1:1", "J2:1"));
  graft.wires.push_back(wire("w6", "J2:1", "H1:1"));
  graft.wires.push_back(wire("w7", "J1:1", "J2:1"));
  const double with_both = solved(graft).current(BranchKind::wire, "w5");
  EXPECT_GT(with_both, 0.5) << "two wires share the heater's current";
  graft.wires.back().signal = "driver airbag squib";
  const Solved all = solved(graft);
  EXPECT_TRUE(std::isnan(all.current(BranchKind::wire, "w7")));
  EXPECT_NEAR(all.current(BranchKind::wire, "w5"), 2.0 * with_both, 0.02) << "it carries all of it now";
  graft.safety_answers.push_back({});
  graft.safety_answers.back().subject = SafetySubject::wire;
  graft.safety_answers.back().at = {"w7", ""};
  graft.safety_answers.back().said = "driver airbag squib";
  graft.safety_answers.back().harmless = true;
  graft.safety_answers.back().by = "A. Sparks";
  graft.safety_answers.back().time = "2026-01-01T10:00:00Z";
  EXPECT_NEAR(solved(graft).current(BranchKind::wire, "w7"), with_both, 0.02);
}

TEST(LoomNetwork, WhatCannotBeIsAProblemAndTheRestIsSolved) {
  Graft graft = heater_loom();
  graft.devices.push_back(device("Q1", "no such kind"));
  graft.devices.push_back(device("Q2", ""));
  graft.devices.push_back(device("AIRBAG", "resistor"));
  graft.devices.back().forbidden = true;
  graft.wires.push_back(wire("w5", "F1:2", "Q1:1"));
  graft.wires.push_back(wire("w6", "F1:2", "AIRBAG:1"));
  graft.wires.push_back(wire("w7", "nowhere:1", "H1:1"));
  graft.wires.push_back(wire("w8", "", ""));
  graft.wires.push_back(wire("w9", "F1:2", "H1:1", 1.0, 0.0));
  graft.wires.push_back(wire("w10", "F1:2", "F1:2"));
  graft.wires.push_back(wire("w11", "F1:7", "H1:1"));
  graft.wires.push_back(wire("w12", "F1:2", "H1:1", -1.0));
  Condition condition;
  condition.worked = {"F1", "ghost"};
  condition.removed = {"F1"};
  const Solved all = solved(graft, condition);
  for (const char* code : {"unknown-kind", "forbidden", "no-such-id", "loose-wire", "bad-size",
                           "wire-to-itself", "no-such-terminal", "worked-and-removed"}) {
    EXPECT_TRUE(has_problem(all.network.problems, code)) << code;
  }
  for (const Volts volts : all.solution.point.nodes) EXPECT_TRUE(std::isfinite(volts.si));
}

TEST(LoomNetwork, ImpossibleValuesCostTheirElementOnly) {
  Graft graft = relay_loom();
  graft.devices[3].resistance = Ohms{0.0};
  graft.devices[5].resistance = Ohms{std::nan("")};
  graft.devices[2].resistance = Ohms{-1.0};
  const Solved all = solved(graft);
  EXPECT_TRUE(has_problem(all.network.problems, "bad-size"));
  EXPECT_GT(all.volts("BAT:+"), 12.0);
  Condition condition;
  condition.supply = Volts{std::nan("")};
  const Solved dead = solved(relay_loom(), condition);
  EXPECT_TRUE(has_problem(dead.network.problems, "bad-size"));
  for (const Volts volts : dead.solution.point.nodes) EXPECT_TRUE(std::isfinite(volts.si));
}

TEST(LoomNetwork, EmptyDocumentHasAnEmptyNetwork) {
  const Solved all = solved(Graft{});
  EXPECT_EQ(all.solution.point.nodes.size(), 1u);
}

TEST(LoomNetwork, MetersReadWhatTheyStandAcross) {
  Condition lifted;
  lifted.battery_off = true;
  LoomNetwork network = network_of(heater_loom(), lifted);
  const NodeId red = *node_at(network, {"H1", "1"});
  const NodeId black = *node_at(network, {"H1", "2"});
  const std::size_t meter = add_meter(network, red, black, MeterKind::ohms);
  const auto solution = solve(network);
  ASSERT_TRUE(solution);
  const double volts = solution->point.nodes[red.value].si - solution->point.nodes[black.value].si;
  const double current = -branch_current(network, *solution, meter).si;
  EXPECT_NEAR(volts / current, 6.0, 1e-3);
}

TEST(LoomNetwork, SplicesHaveACrimpForEachWire) {
  Graft graft = heater_loom();
  graft.devices.push_back(device("SP", "splice"));
  graft.devices.push_back(device("H2", "heater"));
  graft.devices.back().resistance = Ohms{6.0};
  graft.wires[1] = wire("w2", "F1:2", "SP:");
  graft.wires.push_back(wire("w5", "SP:", "H1:1"));
  graft.wires.push_back(wire("w6", "SP:2", "H2:1"));
  graft.wires.push_back(wire("w7", "H2:2", "E1:1"));
  const Solved all = solved(graft);
  const auto crimps = std::ranges::count_if(all.network.branches, [](const NetworkBranch& branch) {
    return branch.kind == BranchKind::joint && branch.subject == "SP";
  });
  EXPECT_EQ(crimps, 3);
  EXPECT_GT(all.current(BranchKind::consumer, "H2"), 1.8);
  EXPECT_EQ(node_at(all.network, {"SP", "2"}), node_at(all.network, {"SP", "1"}));
}

TEST(LoomNetwork, LampIsColdForAMeterAndHotWhenItBurns) {
  const auto ohms = [](bool battery_off) {
    Condition condition;
    condition.battery_off = battery_off;
    const LoomNetwork network = network_of(relay_loom(), condition);
    for (const NetworkBranch& branch : network.branches) {
      if (branch.subject == "L1") return network.circuit.resistors[branch.index].resistance.si;
    }
    return 0.0;
  };
  EXPECT_GT(ohms(false), 5.0 * ohms(true));
}

}  // namespace
}  // namespace loomgraft::network_loom_network_test
