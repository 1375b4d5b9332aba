#include "loom/plan.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <numeric>

#include "loom/validate.h"
#include "tests/loom/sample_graft.h"

namespace loomgraft::loom_plan_test {
namespace {

using ::testing::Contains;
using ::testing::Field;
using ::testing::IsEmpty;
using ::testing::SizeIs;

Wire wire_in(const std::string& id, const std::string& cavity) {
  Wire wire;
  wire.id = id;
  wire.from = {"C1", cavity};
  return wire;
}

PlanStep move(const std::string& wire, const std::string& from, const std::string& to) {
  return {PlanAction::move, wire, {"C1", from}, {"C1", to}, std::nullopt, ""};
}

TEST(Plan, ChangesTakeEffectTogether) {
  const std::vector<Wire> found{wire_in("a", "1"), wire_in("b", "2")};
  const PlannedWires state = apply_plan(found, {move("a", "1", "2"), move("b", "2", "1")});
  EXPECT_THAT(state.problems, IsEmpty());
  EXPECT_EQ(state.wires[0].from.cavity, "2");
  EXPECT_EQ(state.wires[1].from.cavity, "1");
}

TEST(Plan, StepsThatDoNotFitAreNamedAndTheRestApplies) {
  const std::vector<Wire> found{wire_in("a", "1"), wire_in("b", "2")};
  const PlannedWires state =
      apply_plan(found, {move("x", "1", "3"), move("a", "9", "3"), move("b", "2", "4")});
  ASSERT_THAT(state.problems, SizeIs(2));
  EXPECT_EQ(state.problems[0].code, "unknown-wire");
  EXPECT_EQ(state.problems[1].code, "end-elsewhere");
  EXPECT_EQ(state.problems[1].location.pointer, "/plan/1");
  EXPECT_EQ(state.wires[1].from.cavity, "4");
}

TEST(Plan, TwoWiresForOneCavityAreNamed) {
  const PlannedWires state = apply_plan({wire_in("a", "1"), wire_in("b", "2")}, {move("a", "1", "2")});
  ASSERT_THAT(state.problems, SizeIs(1));
  EXPECT_EQ(state.problems[0].code, "place-shared");
}

TEST(Plan, ATerminalOfADeviceMayHoldSeveralWires) {
  Graft graft;
  graft.devices.resize(1);
  graft.devices[0].id = "earth";
  graft.wires = {wire_in("a", "1"), wire_in("b", "2")};
  graft.wires[0].to = graft.wires[1].to = {"earth", "1"};
  PlanStep step;
  step.action = PlanAction::add;
  step.added = wire_in("c", "3");
  step.added->to = {"earth", "1"};
  graft.plan = {step};
  EXPECT_THAT(as_planned(graft).problems, IsEmpty());
  EXPECT_THAT(apply_plan(graft.wires, graft.plan).problems, SizeIs(1));
}

// As planned minus the plan is as found: for any permutation of the wires with some retired and some added.
TEST(Plan, ReversalRestoresTheLoom) {
  EXPECT_TRUE(rc::check("reversed plan undoes the plan", [] {
    const int count = *rc::gen::inRange(1, 12);
    std::vector<Wire> found;
    for (int i = 0; i < count; ++i)
      found.push_back(wire_in("w" + std::to_string(100 + i), std::to_string(i)));
    std::vector<int> target(static_cast<std::size_t>(count));
    std::iota(target.begin(), target.end(), 0);
    for (std::size_t i = target.size(); i > 1; --i) {
      std::swap(target[i - 1], target[*rc::gen::inRange<std::size_t>(0, i)]);
    }
    std::vector<PlanStep> plan;
    for (std::size_t i = 0; i < found.size(); ++i) {
      const int what = *rc::gen::inRange(0, 4);
      if (what == 0) plan.push_back({PlanAction::retire, found[i].id, {}, {}, std::nullopt, ""});
      if (what == 1) {
        plan.push_back(
            {PlanAction::add, "", {}, {}, wire_in("n" + std::to_string(i), "n" + std::to_string(i)), ""});
      }
      const std::string to = std::to_string(target[i]);
      if (what >= 2 && found[i].from.cavity != to)
        plan.push_back(move(found[i].id, found[i].from.cavity, to));
    }
    const PlannedWires planned = apply_plan(found, plan);
    const PlannedWires back = apply_plan(planned.wires, reversed(plan, found));
    RC_ASSERT(back.wires == found);
  }));
}

TEST(Validate, AcceptsTheSampleAndTheEmptyDocument) {
  EXPECT_THAT(validate(sample_graft()), IsEmpty());
  EXPECT_THAT(validate(Graft{}), IsEmpty());
}

struct Damage {
  ProblemCode code;
  const char* pointer;
  void (*harm)(Graft&);
};

// One line for each thing that a stage relies on.
const Damage damages[] = {
    {"id-twice", "/sources/1/id", [](Graft& g) { g.sources.push_back(g.sources[0]); }},
    {"no-id", "/places/0", [](Graft& g) { g.places[0].id.clear(); }},
    {"no-view", "/connectors/0/view", [](Graft& g) { g.connectors[0].view = View::unknown; }},
    {"cavity-twice", "/connectors/0/rows/0/cavities/2",
     [](Graft& g) { g.connectors[0].rows[0].cavities[2] = "1"; }},
    {"bad-size", "/connectors/0/rows/0/pitch_mm",
     [](Graft& g) { g.connectors[0].rows[0].pitch = Metres{0}; }},
    {"bad-size", "/connectors/0/rows/0/terminal_width_mm",
     [](Graft& g) { g.connectors[0].rows[0].terminal_width = Metres{-1}; }},
    {"no-such-id", "/modules/0/connectors/0", [](Graft& g) { g.modules[0].connectors[0] = "x"; }},
    {"no-such-id", "/modules/0/pins/0/connector", [](Graft& g) { g.modules[0].pins[0].at.connector = "x"; }},
    {"no-place", "/modules/0/pins/0", [](Graft& g) { g.modules[0].pins[0].at.cavity.clear(); }},
    {"no-such-cavity", "/modules/0/pins/0/cavity", [](Graft& g) { g.modules[0].pins[0].at.cavity = "9"; }},
    {"cavity-claimed-twice", "/modules/0/pins/1",
     [](Graft& g) { g.modules[0].pins.push_back(g.modules[0].pins[0]); }},
    {"no-such-id", "/modules/0/pins/0/claims/0/source",
     [](Graft& g) { g.modules[0].pins[0].claims[0].source = "x"; }},
    {"bad-size", "/modules/0/pins/0/limits/current_a",
     [](Graft& g) { g.modules[0].pins[0].limits.current = Amperes{-1}; }},
    {"no-such-id", "/wires/0/to/at", [](Graft& g) { g.wires[0].to.at = "x"; }},
    {"bad-size", "/wires/0/area_mm2", [](Graft& g) { g.wires[0].area = SquareMetres{0}; }},
    {"bad-size", "/wires/0/length_mm", [](Graft& g) { g.wires[0].length = Metres{-1}; }},
    {"bad-size", "/wires/0/length_mm", [](Graft& g) { g.wires[0].length = Metres{1e9}; }},
    {"bad-size", "/devices/0/resistance_ohm", [](Graft& g) { g.devices[0].resistance = Ohms{-2}; }},
    {"bad-size", "/vehicle/supply_v", [](Graft& g) { g.vehicle.supply = Volts{-5}; }},
    {"unseen-characters", "/vehicle/name", [](Graft& g) { g.vehicle.name = "truck \xE2\x80\xAEgnirts"; }},
    {"unseen-characters", "/wires/0/signal", [](Graft& g) { g.wires[0].signal = std::string("a\0b", 3); }},
    {"no-such-id", "/wires/0/along/0", [](Graft& g) { g.wires[0].along[0] = "x"; }},
    {"two-terminals", "/wires/1/from",
     [](Graft& g) {
       g.wires.push_back(g.wires[0]);
       g.wires[1].id = "w9";
     }},
    {"no-such-id", "/paths/0/from", [](Graft& g) { g.paths[0].from = "x"; }},
    {"bad-size", "/paths/0/length_mm", [](Graft& g) { g.paths[0].length = Metres{-1}; }},
    {"no-such-id", "/devices/0/place", [](Graft& g) { g.devices[0].place = "x"; }},
    {"bad-weight", "/sources/0/weight", [](Graft& g) { g.sources[0].weight = 0; }},
    {"bad-supply", "/vehicle/supply_v", [](Graft& g) { g.vehicle.supply = Volts{400}; }},
    {"no-such-pin", "/circuit_answers/0/found", [](Graft& g) { g.circuit_answers[0].found.cavity = "9"; }},
    {"no-such-pin", "/circuit_answers/0/donor", [](Graft& g) { g.circuit_answers[0].donor.connector = "x"; }},
    {"one-module", "/circuit_answers/0/donor",
     [](Graft& g) { g.circuit_answers[0].donor = g.circuit_answers[0].found; }},
    {"no-id", "/circuit_answers/0", [](Graft& g) { g.circuit_answers[0].id.clear(); }},
    {"circuit-answered-twice", "/circuit_answers/1",
     [](Graft& g) {
       g.circuit_answers.push_back(g.circuit_answers[0]);
       g.circuit_answers[1] = {"a2", g.circuit_answers[0].found, g.circuit_answers[0].donor, false};
     }},
    {"circuit-paired-twice", "/circuit_answers/1/found",
     [](Graft& g) {
       g.modules[1].pins.push_back(g.modules[1].pins[0]);
       g.modules[1].pins[1].at.cavity = "3";
       g.circuit_answers[0].different = false;
       g.circuit_answers.push_back({"a2", g.circuit_answers[0].found, {"ecu.C1", "3"}, false});
     }},
    {"circuit-paired-twice", "/circuit_answers/1/donor",
     [](Graft& g) {
       g.modules[0].pins.push_back(g.modules[0].pins[0]);
       g.modules[0].pins[1].at.cavity = "3";
       g.circuit_answers[0].different = false;
       g.circuit_answers.push_back({"a2", {"ecu.C1", "3"}, g.circuit_answers[0].donor, false});
     }},
    {"unknown-wire", "/plan/1", [](Graft& g) { g.plan[1].wire = "x"; }},
};

TEST(Validate, NamesEachDamageAtItsPlace) {
  for (const Damage& damage : damages) {
    Graft graft = sample_graft();
    damage.harm(graft);
    EXPECT_THAT(validate(graft), Contains(::testing::AllOf(
                                     Field(&Problem::code, damage.code),
                                     Field(&Problem::location, Field(&Location::pointer, damage.pointer)))))
        << damage.code << " " << damage.pointer;
  }
}

}  // namespace
}  // namespace loomgraft::loom_plan_test
