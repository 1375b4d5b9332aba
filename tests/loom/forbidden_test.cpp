#include "loom/forbidden.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "base/problem.h"
#include "loom/graft_json.h"
#include "loom/plan.h"

namespace loomgraft {
namespace {

// A module with two outputs, each to a lamp and on to an earth point that both share.
Graft two_lamps() {
  Graft graft;
  graft.connectors.emplace_back();
  graft.connectors.back().id = "c1";
  graft.connectors.back().name = "C1";
  graft.connectors.back().rows = {{{"1", "2"}, {}, {}, Metres{0.004}, Metres{0.0015}}};
  Module module;
  module.id = "m";
  module.role = ModuleRole::found;
  module.connectors = {"c1"};
  for (const char* cavity : {"1", "2"}) {
    module.pins.push_back({});
    module.pins.back().at = {"c1", cavity};
    module.pins.back().signal = "lamp output";
  }
  graft.modules.push_back(module);
  const auto device = [&](const char* id, const char* kind, const char* name) {
    graft.devices.push_back({});
    graft.devices.back().id = id;
    graft.devices.back().kind = kind;
    graft.devices.back().name = name;
  };
  device("l1", "lamp", "work lamp");
  device("l2", "lamp", "load lamp");
  device("e", "earth", "earth at the bulkhead");
  const auto wire = [&](const char* id, WireEnd from, WireEnd to) {
    graft.wires.push_back({});
    graft.wires.back().id = id;
    graft.wires.back().from = std::move(from);
    graft.wires.back().to = std::move(to);
  };
  wire("w1", {"c1", "1"}, {"l1", "1"});
  wire("w2", {"c1", "2"}, {"l2", "1"});
  wire("w3", {"l1", "2"}, {"e", "1"});
  wire("w4", {"l2", "2"}, {"e", "1"});
  return graft;
}

SafetyAnswer harmless_lamp() {
  SafetyAnswer answer;
  answer.id = "s1";
  answer.subject = SafetySubject::device;
  answer.at = {"l1", ""};
  answer.said = "driver airbag squib";
  answer.harmless = true;
  answer.by = "R. Ames";
  answer.time = "2026-03-01T10:00:00Z";
  return answer;
}

TEST(Forbidden, NothingIsPresumedOfOrdinaryWords) {
  const ForbiddenParts parts = forbidden_parts(two_lamps());
  EXPECT_TRUE(parts.ends.empty());
  EXPECT_TRUE(parts.wires.empty());
  EXPECT_TRUE(parts.presumed.empty());
}

TEST(Forbidden, ADeviceTakesItsWholeCircuitAlongButNotWhatOthersShare) {
  Graft graft = two_lamps();
  graft.devices[0].name = "driver airbag squib";
  const ForbiddenParts parts = forbidden_parts(graft);
  EXPECT_TRUE(parts.has_device("l1"));
  EXPECT_TRUE(parts.has(CavityRef{"c1", "1"}));
  EXPECT_EQ(parts.wires, (std::set<std::string>{"w1", "w3"}));
  EXPECT_FALSE(parts.has_device("e"));
  EXPECT_FALSE(parts.has_device("l2"));
  EXPECT_FALSE(parts.has(CavityRef{"c1", "2"}));
  ASSERT_EQ(parts.presumed.size(), 1u);
  EXPECT_EQ(parts.presumed[0].said, "driver airbag squib");
  EXPECT_EQ(parts.presumed[0].pointer, "/devices/0");
}

TEST(Forbidden, PinsWiresModulesAndPlugsAreReadToo) {
  Graft by_pin = two_lamps();
  by_pin.modules[0].pins[1].far_end = "Gurtstraffer rechts";
  EXPECT_TRUE(forbidden_parts(by_pin).has_device("l2"));
  Graft by_wire = two_lamps();
  by_wire.wires[3].signal = "SRS earth";
  EXPECT_TRUE(forbidden_parts(by_wire).wires.contains("w2"));
  Graft by_module = two_lamps();
  by_module.modules[0].name = "airbag control unit";
  EXPECT_TRUE(forbidden_parts(by_module).has(CavityRef{"c1", "2"}));
  Graft by_plug = two_lamps();
  by_plug.connectors[0].name = "airbag plug, yellow";
  EXPECT_TRUE(forbidden_parts(by_plug).wires.contains("w1"));
}

TEST(Forbidden, ThickOrangeWireIsPresumedToCarryHighVoltage) {
  Graft graft = two_lamps();
  graft.wires[0].colour.base = "OG";
  graft.wires[0].area = square_millimetres(1.0);
  EXPECT_TRUE(forbidden_parts(graft).presumed.empty());
  graft.wires[0].area = square_millimetres(25.0);
  ASSERT_EQ(forbidden_parts(graft).presumed.size(), 1u);
  EXPECT_EQ(forbidden_parts(graft).presumed[0].kind, RestraintKind::high_voltage);
}

TEST(Forbidden, WiresOfThePlanAreReadAndFollowed) {
  Graft graft = two_lamps();
  PlanStep step;
  step.action = PlanAction::add;
  step.added = Wire{};
  step.added->id = "w5";
  step.added->signal = "pretensioner feed";
  step.added->from = {"c1", "2"};
  graft.plan.push_back(step);
  const ForbiddenParts parts = forbidden_parts(graft);
  EXPECT_TRUE(parts.wires.contains("w5"));
  EXPECT_TRUE(parts.has_device("l2"));
}

TEST(Forbidden, ASignedAnswerFreesTheTextThatItWasGivenTo) {
  Graft graft = two_lamps();
  graft.devices[0].name = "driver airbag squib";
  graft.safety_answers.push_back(harmless_lamp());
  EXPECT_TRUE(forbidden_parts(graft).ends.empty());
  EXPECT_TRUE(check_safety(graft, forbidden_parts(graft)).empty());
  graft.devices[0].name = "driver airbag squib 2";
  EXPECT_TRUE(forbidden_parts(graft).has_device("l1"));
}

TEST(Forbidden, AnAnswerWithoutNameOrTimeDoesNotCount) {
  Graft graft = two_lamps();
  graft.devices[0].name = "driver airbag squib";
  graft.safety_answers.push_back(harmless_lamp());
  graft.safety_answers[0].by.clear();
  EXPECT_TRUE(forbidden_parts(graft).has_device("l1"));
  const Problems problems = check_safety(graft, forbidden_parts(graft));
  EXPECT_TRUE(
      std::ranges::any_of(problems, [](const Problem& one) { return one.code == "unsigned-answer"; }));
}

TEST(Forbidden, AnAnswerThatItIsOneForbidsWithoutAnyWord) {
  Graft graft = two_lamps();
  graft.safety_answers.push_back(harmless_lamp());
  graft.safety_answers[0].harmless = false;
  graft.safety_answers[0].said = "work lamp";
  const ForbiddenParts parts = forbidden_parts(graft);
  EXPECT_TRUE(parts.has_device("l1"));
  EXPECT_TRUE(parts.presumed.empty());
}

TEST(Forbidden, AnswersAreKeptInTheDocument) {
  Graft graft = two_lamps();
  graft.safety_answers.push_back(harmless_lamp());
  graft.safety_answers[0].note = "lamp of the load bed, seen";
  const GraftReading read = graft_from_json(write_graft(graft), "graft.json");
  ASSERT_TRUE(read.graft);
  EXPECT_EQ(read.graft->safety_answers, graft.safety_answers);
}

// More words never free anything.
RC_GTEST_PROP(Forbidden, AnotherNamedPartNeverFreesOne, ()) {
  Graft graft = two_lamps();
  const auto first = *rc::gen::inRange<std::size_t>(0, 2), second = *rc::gen::inRange<std::size_t>(0, 2);
  graft.modules[0].pins[first].signal = "SRS lamp";
  const ForbiddenParts one = forbidden_parts(graft);
  graft.wires[second].signal = "airbag";
  const ForbiddenParts both = forbidden_parts(graft);
  RC_ASSERT(std::ranges::includes(both.ends, one.ends));
  RC_ASSERT(std::ranges::includes(both.wires, one.wires));
}

}  // namespace
}  // namespace loomgraft
