#include "compare/compare.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "compare/json.h"
#include "tests/compare/small_graft.h"
#include "tests/compare/synthetic_modules.h"

namespace loomgraft::compare_compare_test {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

CompareReport compared(const std::vector<PinLine>& found, const std::vector<PinLine>& donor) {
  return compare_modules(two_modules(found, donor), "found", "donor");
}

// "keep 1-1", "shift 2-5", "add -7": verdict, found cavity, donor cavity.
std::vector<std::string> verdicts(const CompareReport& report) {
  std::vector<std::string> lines;
  for (const CircuitReport& c : report.circuits) {
    lines.push_back(std::string(name_of(c.verdict)) + " " + (c.found ? c.found->cavity : "") + "-" +
                    (c.donor ? c.donor->cavity : ""));
  }
  return lines;
}

using Lines = std::vector<std::string>;

TEST(Compare, CircuitsAreMatchedByFunctionNotByCavity) {
  const CompareReport report =
      compared({{"1", "Coolant temperature sensor"},
                {"2", "Injector 1"},
                {"3", "Injector 2"},
                {"4", "Fuel pump relay"}},
               {{"1", "ECT"}, {"2", "INJ 2"}, {"3", "INJ 1"}, {"5", "Knock sensor"}});
  EXPECT_EQ(verdicts(report), (Lines{"keep 1-1", "shift 2-3", "shift 3-2", "retire 4-", "add -5"}));
  EXPECT_EQ(report.summary.shift, 2);
  EXPECT_EQ(report.moves.parkings, 1) << "two injectors that change places need one terminal parked";
}

// Two terminals that change places between the plugs with the ids C1 and C12: the id C1 is the beginning of
// the other.
TEST(Compare, NotesOfMovesNamePlugsByTheirWholeId) {
  Graft graft;
  for (const char* module : {"found", "donor"}) {
    const std::string prefix = module == std::string("donor") ? "donor." : "";
    for (const auto& [id, name] : {std::pair{"C1", "Engine"}, std::pair{"C12", "Body"}}) {
      Connector plug;
      plug.id = prefix + id;
      plug.name = name;
      graft.connectors.push_back(plug);
    }
    const bool swapped = !prefix.empty();
    Module made;
    made.id = made.name = module;
    made.connectors = {prefix + "C1", prefix + "C12"};
    for (const bool second : {false, true}) {
      Pin pin;
      pin.at = {made.connectors[second ? 1 : 0], "7"};
      pin.signal = second != swapped ? "Injector 2" : "Injector 1";
      made.pins.push_back(pin);
    }
    graft.modules.push_back(made);
  }
  const CompareReport report = compare_modules(graft, "found", "donor");
  ASSERT_EQ(report.moves.parkings, 1);
  const auto parked = std::ranges::find(report.moves.steps, MoveAction::park, &MoveStep::action);
  const auto returned = std::ranges::find(report.moves.steps, MoveAction::insert_parked, &MoveStep::action);
  ASSERT_NE(parked, report.moves.steps.end());
  ASSERT_NE(returned, report.moves.steps.end());
  EXPECT_THAT(parked->note, HasSubstr(" " + returned->to.connector + " cavity 7"));
  EXPECT_THAT(std::vector({parked->from.connector, returned->to.connector}),
              ::testing::UnorderedElementsAre("Engine", "Body"));
}

TEST(Compare, NumbersAndPolarityDistinguishCircuits) {
  EXPECT_EQ(
      verdicts(compared({{"1", "CAN 0 high"}, {"2", "CAN 0 low"}}, {{"1", "CAN 0 LO"}, {"2", "CAN 0 HI"}})),
      (Lines{"shift 1-2", "shift 2-1"}));
  EXPECT_EQ(verdicts(compared({{"1", "Injector 1"}}, {{"2", "Injector 4"}})), (Lines{"retire 1-", "add -2"}));
}

TEST(Compare, SeveralEarthsAreMatchedInTheirOwnCavities) {
  const CompareReport report = compared({{"1", "GND", PinClass::power_earth},
                                         {"2", "GND", PinClass::power_earth},
                                         {"3", "GND", PinClass::power_earth}},
                                        {{"2", "Ground", PinClass::power_earth},
                                         {"3", "Masse", PinClass::power_earth},
                                         {"9", "GND", PinClass::power_earth}});
  EXPECT_EQ(verdicts(report), (Lines{"shift 1-9", "keep 2-2", "keep 3-3"}));
}

TEST(Compare, AFeedOnADriverIsADamagingClash) {
  const CompareReport report = compared({{"3", "Battery feed", PinClass::supply_30}},
                                        {{"3", "Purge valve", PinClass::low_side_driver}});
  ASSERT_THAT(report.circuits, SizeIs(2));
  EXPECT_EQ(report.circuits[0].verdict, Verdict::clash);
  EXPECT_GE(report.circuits[0].hazard.grade, Grade::damage);
  EXPECT_GT(report.circuits[0].hazard.current.si, 2.0) << "beyond the driver's limit";
  EXPECT_EQ(report.circuits[1].verdict, Verdict::add);
  EXPECT_TRUE(needs_attention(report));
}

TEST(Compare, ASwitchWireOnAVoltageInputIsAFalseSignal) {
  const CompareReport report = compared({{"3", "Clutch switch", PinClass::switch_to_earth_input}},
                                        {{"3", "Boost pressure", PinClass::voltage_input}});
  EXPECT_EQ(report.circuits[0].verdict, Verdict::clash);
  EXPECT_EQ(report.circuits[0].hazard.grade, Grade::false_signal);
  EXPECT_FALSE(needs_attention(report));
}

TEST(Compare, TheSameFunctionOfAnotherClassClashesOnlyWhereItDamages) {
  const CompareReport harmful = compared({{"3", "Power take-off switch", PinClass::switch_to_supply_input}},
                                         {{"3", "PTO switch", PinClass::low_side_driver}});
  ASSERT_THAT(harmful.circuits, SizeIs(1));
  EXPECT_EQ(harmful.circuits[0].hazard.grade, Grade::damage);
  EXPECT_EQ(harmful.circuits[0].verdict, Verdict::clash);
  // Earth through a coil on a switch to earth: the valve does not work, but nothing is damaged.
  const CompareReport report = compared({{"3", "Power take-off valve", PinClass::high_side_driver}},
                                        {{"3", "PTO valve", PinClass::low_side_driver}});
  ASSERT_THAT(report.circuits, SizeIs(1));
  EXPECT_EQ(report.circuits[0].hazard.grade, Grade::harmless);
  EXPECT_EQ(report.circuits[0].verdict, Verdict::keep);
  EXPECT_THAT(report.circuits[0].why, Contains(HasSubstr("electrical classes differ")));
}

TEST(Compare, OneCircuitOfUnknownClassIsHarmless) {
  const CompareReport report =
      compared({{"3", "Fan relay", PinClass::low_side_driver}}, {{"3", "Fan relay"}});
  EXPECT_EQ(verdicts(report), (Lines{"keep 3-3"}));
  EXPECT_EQ(report.circuits[0].hazard.grade, Grade::harmless);
}

TEST(Compare, AFeedWhereTheDonorTableIsSilentRaisesAQuestion) {
  const CompareReport report =
      compared({{"3", "Battery feed", PinClass::supply_30}, {"4", "ECT"}}, {{"4", "ECT"}});
  EXPECT_EQ(verdicts(report), (Lines{"retire 3-", "keep 4-4"}));
  EXPECT_THAT(report.questions,
              Contains(testing::Field(&Question::text, HasSubstr("does not mention C1-3"))));
}

TEST(Compare, BusesOfOneNameOnDifferentNetworksAreUnsure) {
  Graft graft = two_modules({{"1", "CAN2-H", PinClass::can_high}}, {{"1", "CAN2-H", PinClass::can_high}});
  EXPECT_EQ(compare_modules(graft, "found", "donor").circuits[0].verdict, Verdict::keep);
  graft.modules[0].pins[0].far_end = "gearbox";
  graft.modules[1].pins[0].far_end = "body";
  EXPECT_EQ(compare_modules(graft, "found", "donor").circuits[0].verdict, Verdict::unsure);
}

TEST(Compare, ADonorWithOtherPlugsRaisesAQuestion) {
  Graft graft = two_modules({{"12", "ECT"}}, {{"20", "ECT"}});
  EXPECT_THAT(compare_modules(graft, "found", "donor").questions,
              Contains(testing::Field(&Question::text, HasSubstr("goes up to 12, the donor's to 20"))));
}

TEST(Compare, MissingModulesAndPinsAreReported) {
  const Graft graft = two_modules({{"1", "ECT"}}, {});
  EXPECT_EQ(compare_modules(graft, "found", "nobody").problems[0].code, "no-such-module");
  EXPECT_EQ(compare_modules(graft, "found", "donor").problems[0].code, "no-pins");
}

// A found module and a donor that is more or less like it.
Graft invented_pair(std::uint64_t seed) {
  const auto found = synthetic::make_module("found", 60, seed);
  const auto donor = synthetic::make_module("donor", 50 + seed, seed + 500, &found.module, (seed * 13) % 101);
  Graft graft = synthetic::graft_of(found);
  graft.connectors.insert(graft.connectors.end(), donor.connectors.begin(), donor.connectors.end());
  graft.modules.push_back(donor.module);
  return graft;
}

// Invariants over many invented pairs of modules: every circuit has one verdict, and the report is
// reproducible.
TEST(Compare, EveryCircuitHasOneVerdict) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const Graft graft = invented_pair(seed);
    const CompareReport report = compare_modules(graft, "found", "donor");
    std::map<std::string, int> found_times, donor_times;
    for (const CircuitReport& c : report.circuits) {
      if (c.found) ++found_times[c.found->connector + "-" + c.found->cavity];
      if (c.donor) ++donor_times[c.donor->connector + "-" + c.donor->cavity];
      EXPECT_GE(c.confidence, 0.0);
      EXPECT_LE(c.confidence, 1.0);
    }
    for (const auto& [place, times] : found_times) EXPECT_EQ(times, 1) << place;
    for (const auto& [place, times] : donor_times) EXPECT_EQ(times, 1) << place;
    for (const Pin& pin : graft.modules[1].pins) {
      if (pin.pin_class == PinClass::no_connection || pin.signal.empty()) continue;
      EXPECT_EQ(donor_times[find_connector(graft, pin.at.connector)->name + "-" + pin.at.cavity], 1)
          << "a donor pin without a verdict";
    }
    EXPECT_EQ(to_json(report).dump(), to_json(compare_modules(graft, "found", "donor")).dump());
    EXPECT_THAT(report.problems, IsEmpty()) << "seed " << seed;
  }
}

// ---- what a person said of two pins

const Lines& why_of(const CompareReport& report, const std::string& found_cavity) {
  return std::ranges::find_if(
             report.circuits,
             [&](const CircuitReport& c) { return c.found && c.found->cavity == found_cavity; })
      ->why;
}

TEST(CircuitAnswers, DecideUnsurePairs) {
  const Graft unsure =
      two_modules({{"1", "CAN2 H", PinClass::can_high}, {"2", "Roof lamp"}},
                  {{"1", "CAN1 H", PinClass::can_high}, {"2", "Roof lamp"}, {"3", "Roof light"}});
  Graft graft = unsure;
  graft.circuit_answers = {{"a", {"found.C1", "2"}, {"donor.C1", "3"}, false}};
  const CompareReport report = compare_modules(graft, "found", "donor");
  EXPECT_THAT(verdicts(report), Contains("shift 2-3"));
  EXPECT_THAT(verdicts(report), Contains("add -2"));
  EXPECT_THAT(why_of(report, "2"), Contains("a person decided: these two are the same circuit"));
  graft.circuit_answers[0] = {"a", {"found.C1", "2"}, {"donor.C1", "2"}, true};
  const CompareReport apart = compare_modules(graft, "found", "donor");
  EXPECT_THAT(verdicts(apart), ::testing::Not(Contains(HasSubstr("2-2"))));
  EXPECT_THAT(why_of(apart, "2"),
              Contains("a person decided: not the same circuit as \"Roof lamp\" at C1-2 of the donor"));
}

TEST(CircuitAnswers, ThatAreImpossibleAreReportedAndLeftOut) {
  Graft graft = two_modules({{"1", "Horn"}, {"2", "Fan"}}, {{"1", "Horn"}, {"2", "Fan"}});
  const std::string before = to_json(compare_modules(graft, "found", "donor"))["circuits"].dump();
  graft.circuit_answers = {{"a", {"found.C1", "9"}, {"donor.C1", "1"}, false},
                           {"b", {"found.C1", "1"}, {"found.C1", "2"}, false}};
  const CompareReport report = compare_modules(graft, "found", "donor");
  EXPECT_EQ(to_json(report)["circuits"].dump(), before);
  ASSERT_THAT(report.problems, SizeIs(2));
  EXPECT_EQ(report.problems[0].location.pointer, "/circuit_answers/0/found");
}

// Any two pins that a person calls one circuit are paired, whatever they are called and of whatever kind;
// taken apart they are not; and without the answer the report is what it was, byte for byte.
TEST(CircuitAnswers, OverrideEverySimilarity) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Graft graft = invented_pair(seed);
    const std::string before = to_json(compare_modules(graft, "found", "donor")).dump();
    synthetic::Dice dice(seed);
    for (int times = 0; times < 8; ++times) {
      const Pin& one = graft.modules[0].pins[dice.below(graft.modules[0].pins.size())];
      const Pin& other = graft.modules[1].pins[dice.below(graft.modules[1].pins.size())];
      const auto paired = [&](const CompareReport& report) {
        const auto is = [&](const std::optional<PinName>& name, const Pin& pin) {
          return name && name->connector == find_connector(graft, pin.at.connector)->name &&
                 name->cavity == pin.at.cavity;
        };
        return std::ranges::count_if(
            report.circuits, [&](const CircuitReport& c) { return is(c.found, one) && is(c.donor, other); });
      };
      graft.circuit_answers = {{"a", one.at, other.at, false}};
      const CompareReport same = compare_modules(graft, "found", "donor");
      EXPECT_EQ(paired(same), 1) << "seed " << seed << ": " << one.signal << " = " << other.signal;
      EXPECT_EQ(std::ranges::count_if(same.circuits, &CircuitReport::decided), 1);
      graft.circuit_answers[0].different = true;
      EXPECT_EQ(paired(compare_modules(graft, "found", "donor")), 0);
      graft.circuit_answers.clear();
      EXPECT_EQ(to_json(compare_modules(graft, "found", "donor")).dump(), before);
    }
  }
}

}  // namespace
}  // namespace loomgraft::compare_compare_test
