// Hazards of a comparison: claims in any order, unsure matches, qualifiers, and functions that are lost.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <random>

#include "compare/compare.h"
#include "compare/propose.h"
#include "tests/compare/small_graft.h"

namespace loomgraft::compare_hazard_test {
namespace {

using ::testing::HasSubstr;
using enum PinClass;

CircuitReport circuit_at(const CompareReport& report, const std::string& cavity) {
  return *std::ranges::find_if(report.circuits,
                               [&](const CircuitReport& c) { return c.found && c.found->cavity == cavity; });
}

CompareReport compared(const std::vector<PinLine>& found, const std::vector<PinLine>& donor) {
  return compare_modules(two_modules(found, donor), "found", "donor");
}

// ---- one circuit excuses nothing

TEST(Hazard, AnUnsureMatchIsJudgedAsTwoCircuits) {
  const CompareReport report = compared({{"4", "Crank relay output", low_side_driver}},
                                        {{"4", "Vacuum relay output", low_side_driver}});
  const CircuitReport& crank = circuit_at(report, "4");
  EXPECT_NE(crank.verdict, Verdict::keep);
  EXPECT_EQ(crank.hazard.grade, Grade::injury);
  EXPECT_THAT(crank.hazard.reason, HasSubstr("may crank"));
  EXPECT_TRUE(needs_attention(report));
}

TEST(Hazard, OneCircuitKeepsTheLimitOfTheDonorsPin) {
  Graft graft = two_modules({{"4", "Purge valve", low_side_driver}}, {{"4", "Purge valve", low_side_driver}});
  graft.modules[1].pins[0].limits.current = milliamperes(250);
  const CompareReport report = compare_modules(graft, "found", "donor");
  const CircuitReport& purge = circuit_at(report, "4");
  EXPECT_EQ(purge.hazard.grade, Grade::damage);
  EXPECT_EQ(purge.verdict, Verdict::clash);
}

// ---- what several sources claim

struct Said {
  const char* signal;
  PinClass pin_class;
};

// The pin as gathered from sources of equal weight: the first that says anything counts.
void set_claims(Pin& pin, const std::vector<Said>& claims) {
  pin.claims.clear();
  for (const Said& said : claims) {
    Claim claim;
    claim.source = "s" + std::to_string(pin.claims.size());
    claim.signal = said.signal;
    claim.pin_class = said.pin_class;
    pin.claims.push_back(claim);
  }
  pin.signal = claims.front().signal;
  pin.pin_class = claims.front().pin_class;
  if (pin.pin_class == no_connection) pin.populated = false;
}

Contention hazard_of(const std::vector<Said>& found, const std::vector<Said>& donor) {
  Graft graft = two_modules({{"9", "x"}, {"1", "Coolant temperature", thermistor_input}},
                            {{"9", "x"}, {"1", "Coolant temperature", thermistor_input}});
  set_claims(graft.modules[0].pins[0], found);
  set_claims(graft.modules[1].pins[0], donor);
  return circuit_at(compare_modules(graft, "found", "donor"), "9").hazard;
}

TEST(Claims, TheWorstCountsInAnyOrder) {
  const std::vector<Said> all{
      {"Battery feed", supply_30},     {"Horn relay", low_side_driver},  {"Winch relay", low_side_driver},
      {"Oil pressure", voltage_input}, {"not used", no_connection},      {"Chassis earth", power_earth},
      {"Boost pressure", unknown},     {"Purge valve", low_side_driver}, {"Reference 5 V", reference_5v}};
  std::mt19937 dice(7);
  for (int times = 0; times < 200; ++times) {
    std::vector<Said> found = all, donor = all;
    std::ranges::shuffle(found, dice);
    std::ranges::shuffle(donor, dice);
    found.resize(2 + dice() % 2);
    donor.resize(1 + dice() % 2);
    if (std::ranges::all_of(donor, [](const Said& s) { return s.pin_class == no_connection; })) continue;
    const Contention first = hazard_of(found, donor);
    std::ranges::reverse(found);
    std::ranges::reverse(donor);
    EXPECT_EQ(hazard_of(found, donor), first)
        << found[0].signal << ", " << found[1].signal << " on " << donor[0].signal;
  }
}

TEST(Claims, ASecondSourceIsHeardEvenWhereTheFirstSaysNothingIsThere) {
  EXPECT_EQ(
      hazard_of({{"not used", no_connection}, {"Battery feed", supply_30}}, {{"Earth", power_earth}}).grade,
      Grade::fire);
}

TEST(Claims, OneThatWasProvedStandsAlone) {
  Graft graft = two_modules({{"9", "x"}}, {{"9", "Purge valve", low_side_driver}});
  Pin& pin = graft.modules[0].pins[0];
  set_claims(pin, {{"Purge valve", low_side_driver}, {"Battery feed", supply_30}});
  EXPECT_EQ(circuit_at(compare_modules(graft, "found", "donor"), "9").hazard.grade, Grade::damage);
  pin.claims[0].proved = true;
  EXPECT_EQ(circuit_at(compare_modules(graft, "found", "donor"), "9").hazard.grade, Grade::harmless);
}

TEST(Claims, DisagreeingSourcesDoNotMakeAClash) {
  Graft graft = two_modules({{"9", "x"}}, {{"9", "Purge valve", low_side_driver}});
  set_claims(graft.modules[0].pins[0], {{"Purge valve", low_side_driver}, {"Battery feed", supply_30}});
  const CompareReport report = compare_modules(graft, "found", "donor");
  EXPECT_EQ(circuit_at(report, "9").verdict, Verdict::keep) << "the source that counts says it is the same";
  EXPECT_THAT(report.questions, testing::Contains(testing::Field(&Question::text, HasSubstr("disagree"))));
}

// ---- words that tell circuits apart

struct Pair {
  const char* found;
  const char* found_note;
  const char* donor;
  const char* donor_note;
  PinClass pin_class;
};

constexpr Pair apart[] = {
    {"CAN-L", "backup", "CAN-L", "main", can_low},
    {"CAN high", "bus 1", "CAN high", "bus 2", can_high},
    {"Knock sensor", "bank 2", "Knock sensor", "bank 1", knock},
    {"Wheel speed", "rear left", "Wheel speed", "rear right", variable_reluctance},
    {"Door switch", "links", "Door switch", "rechts", switch_to_earth_input},
    {"Shift valve A", "", "Shift valve B", "", low_side_driver},
    {"Injector", "cyl. 5", "Injector", "cyl. 2", injector},
    {"Primary lambda sensor", "", "Secondary lambda sensor", "", oxygen_sensor},
};

CompareReport of_pair(const Pair& pair) {
  Graft graft = two_modules({{"3", pair.found, pair.pin_class}}, {{"3", pair.donor, pair.pin_class}});
  graft.modules[0].pins[0].note = pair.found_note;
  graft.modules[1].pins[0].note = pair.donor_note;
  return compare_modules(graft, "found", "donor");
}

TEST(Qualifiers, TellCircuitsApart) {
  for (const Pair& pair : apart) {
    const std::string where = std::string(pair.found) + " " + pair.found_note;
    const CompareReport report = of_pair(pair);
    EXPECT_NE(circuit_at(report, "3").verdict, Verdict::keep) << where;
    EXPECT_GE(circuit_at(report, "3").hazard.grade, Grade::false_signal) << where;
    Pair same = pair;
    same.donor = pair.found;
    same.donor_note = pair.found_note;
    EXPECT_EQ(circuit_at(of_pair(same), "3").verdict, Verdict::keep) << where;
    EXPECT_EQ(circuit_at(of_pair(same), "3").hazard.grade, Grade::harmless) << where;
  }
}

TEST(Qualifiers, ARemarkOfOtherWordsTellsNothing) {
  const Pair pair{"CAN-L", "see sheet 2, twisted", "CAN-L", "15 A, pin 3", can_low};
  EXPECT_EQ(circuit_at(of_pair(pair), "3").verdict, Verdict::keep);
}

// ---- functions that are lost

Graft losing() {
  Graft graft = two_modules(
      {{"1", "Hazard switch", switch_to_earth_input},
       {"2", "Courtesy buzzer", low_side_driver},
       {"3", "Battery feed", supply_30},
       {"4", "Sensor earth", sensor_earth},
       {"5", "Coolant temperature", thermistor_input},
       {"6", "Brake lamp", high_side_driver}},
      {{"5", "Coolant temperature", thermistor_input}, {"6", "Ambient temperature", thermistor_input}});
  for (Connector& connector : graft.connectors) connector.name = "C1";
  return graft;
}

TEST(Loss, OfAFunctionIsAHazardOfItsOwn) {
  const CompareReport report = compare_modules(losing(), "found", "donor");
  const CircuitReport& hazard = circuit_at(report, "1");
  EXPECT_EQ(hazard.verdict, Verdict::retire);
  ASSERT_TRUE(hazard.loss);
  EXPECT_EQ(hazard.loss->consequence->circuit, "hazard");
  EXPECT_EQ(circuit_at(report, "6").loss->grade, Grade::injury) << "no brake lamps";
  ASSERT_TRUE(circuit_at(report, "2").loss) << "an unknown function is lost all the same";
  EXPECT_EQ(circuit_at(report, "2").loss->grade, Grade::false_signal);
  EXPECT_FALSE(circuit_at(report, "3").loss) << "the feed served the old module";
  EXPECT_FALSE(circuit_at(report, "4").loss);
  EXPECT_FALSE(circuit_at(report, "5").loss);
  EXPECT_TRUE(needs_attention(report));
}

// One list gives the moves and the plan: each circuit that is taken out is so in both, with what is lost by it.
TEST(Loss, StandsInTheMovesAndInThePlanAlike) {
  Graft graft = losing();
  // Its own function, driven the other way: it must not simply be plugged across.
  graft.modules[0].pins.push_back(graft.modules[0].pins[1]);
  graft.modules[0].pins.back().at.cavity = "7";
  graft.modules[0].pins.back().signal = "Winch switch";
  graft.modules[0].pins.back().pin_class = switch_to_supply_input;
  graft.modules[1].pins.push_back(graft.modules[0].pins.back());
  graft.modules[1].pins.back().at = {"donor.C1", "8"};
  graft.modules[1].pins.back().pin_class = low_side_driver;
  const CompareReport report = compare_modules(graft, "found", "donor");
  ASSERT_EQ(circuit_at(report, "7").verdict, Verdict::clash);
  std::map<std::string, std::string> by_moves, by_plan;
  for (const MoveStep& step : report.moves.steps) {
    if (step.action == MoveAction::retire) by_moves.emplace("C1_" + step.from.cavity, step.loses);
  }
  const Proposal proposal = propose_plan(graft, "found", "donor");
  for (const PlanStep& step : proposal.graft.plan) {
    if (step.action == PlanAction::retire) by_plan.emplace(step.wire, step.reason);
  }
  ASSERT_EQ(by_moves.size(), 6U);
  ASSERT_EQ(by_plan.size(), by_moves.size());
  for (const auto& [wire, loses] : by_moves) {
    ASSERT_TRUE(by_plan.contains(wire)) << wire;
    EXPECT_TRUE(loses.empty() || by_plan[wire] == loses) << wire;
  }
  EXPECT_THAT(by_moves["C1_7"], HasSubstr("the winch stops"));
}

TEST(Loss, IsNoneWhereAnotherWireCarriesTheFunction) {
  const CompareReport report = compared({{"1", "Horn", high_side_driver}, {"2", "Horn", high_side_driver}},
                                        {{"1", "Horn", high_side_driver}});
  EXPECT_FALSE(circuit_at(report, "2").loss);
}

// ---- the device at the far end

TEST(Hazard, TheDeviceAtTheFarEndTellsWhatIsWorked) {
  Graft graft = two_modules({{"1", "Output 3", low_side_driver}}, {{"1", "EGR valve", low_side_driver}});
  Device winch;
  winch.id = "k9";
  winch.name = "Winch contactor";
  winch.kind = "relay";
  graft.devices = {winch};
  Wire wire;
  wire.id = "w1";
  wire.from = {"found.C1", "1"};
  wire.to = {"k9", "86"};
  graft.wires = {wire};
  const Contention hazard = circuit_at(compare_modules(graft, "found", "donor"), "1").hazard;
  ASSERT_NE(hazard.consequence, nullptr);
  EXPECT_EQ(hazard.consequence->circuit, "winch");
}

}  // namespace
}  // namespace loomgraft::compare_hazard_test
