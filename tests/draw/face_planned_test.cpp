// What a face shows of the loom as planned: the wires that will be there, and a mark where the plan altered a
// cavity.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "draw/face.h"
#include "draw/face_marks.h"

namespace loomgraft::draw_face_planned_test {
namespace {

using testing::HasSubstr;
using testing::Not;

Wire wire(const std::string& id, const WireEnd& to, const char* colour, const std::string& signal) {
  Wire made;
  made.id = id;
  made.from = {"S1", id};
  made.to = to;
  made.colour.base = colour;
  made.signal = signal;
  return made;
}

// Six cavities: 1 stays, 2 goes to 3, 4 comes out, 5 gets a new wire, 6 is known from its table alone.
Graft graft_with_plan() {
  Graft graft;
  Connector plug;
  plug.id = "found.C1";
  plug.name = "C1";
  plug.view = View::wire_entry;
  plug.rows = {{{"1", "2", "3", "4", "5", "6"}, {}, {}, millimetres(2.5), millimetres(0.64)}};
  graft.connectors = {plug};
  Module module;
  module.id = "found";
  module.connectors = {plug.id};
  const char* colours[] = {"RD", "BU", "", "WH", "", "PK"};
  for (int k = 0; k < 6; ++k) {
    if (k == 2 || k == 4) continue;
    Pin pin;
    pin.at = {plug.id, std::to_string(k + 1)};
    pin.signal = "signal " + std::to_string(k + 1);
    pin.colour.base = colours[k];
    module.pins.push_back(pin);
  }
  graft.modules = {module};
  graft.wires = {wire("w1", {plug.id, "1"}, "RD", "signal 1"), wire("w2", {plug.id, "2"}, "BU", ""),
                 wire("w4", {plug.id, "4"}, "WH", "signal 4")};
  PlanStep move{PlanAction::move, "w2", {plug.id, "2"}, {plug.id, "3"}, {}, ""};
  PlanStep retire{PlanAction::retire, "w4", {}, {}, {}, ""};
  PlanStep add;
  add.action = PlanAction::add;
  add.added = wire("n5", {plug.id, "5"}, "GN", "valve");
  graft.plan = {move, retire, add};
  return graft;
}

const FaceMark* mark_at(const std::vector<FaceMark>& marks, const std::string& cavity) {
  const FaceMark* found = nullptr;
  for (const FaceMark& mark : marks) {
    if (mark.cavity != cavity) continue;
    EXPECT_EQ(found, nullptr) << cavity << " is marked twice";
    found = &mark;
  }
  return found;
}

TEST(PlannedFace, HasTheWiresOfThePlannedLoomAndMarksWhatChanged) {
  const Graft graft = graft_with_plan();
  const std::vector<FaceMark> marks = planned_face_marks(graft, graft.connectors[0]);
  struct Case {
    const char* cavity;
    Mark mark;
    const char* colour;
    const char* signal;
    const char* note;
    bool bare;
  };
  const Case cases[] = {{"1", Mark::none, "RD", "signal 1", "", false},
                        {"2", Mark::retire, "", "", "BU came out", true},
                        {"3", Mark::shift, "BU", "signal 2", "from C1-2", false},
                        {"4", Mark::retire, "", "", "WH came out", true},
                        {"5", Mark::add, "GN", "valve", "new wire", false},
                        {"6", Mark::none, "PK", "signal 6", "", false}};
  for (const Case& one : cases) {
    const FaceMark* mark = mark_at(marks, one.cavity);
    ASSERT_NE(mark, nullptr) << one.cavity;
    EXPECT_EQ(mark->mark, one.mark) << one.cavity;
    EXPECT_EQ(mark->colour.base, one.colour) << one.cavity;
    EXPECT_EQ(mark->signal, one.signal) << one.cavity;
    EXPECT_EQ(mark->note, one.note) << one.cavity;
    EXPECT_EQ(mark->bare, one.bare) << one.cavity;
  }
}

TEST(PlannedFace, StatesThatItIsThePlannedLoomAndDescribesTheChosenCavity) {
  const Graft graft = graft_with_plan();
  const Connector& plug = graft.connectors[0];
  const std::vector<FaceMark> marks = planned_face_marks(graft, plug);
  const auto svg = [&](const std::string& cavity) {
    FaceOptions options;
    options.width_mm = 118.0;
    options.cavity = cavity;
    options.planned = true;
    return draw_face(plug, marks, View::mating, options);
  };
  EXPECT_THAT(svg("3"), HasSubstr("Mating side, as planned"));
  EXPECT_THAT(svg("3"), HasSubstr("cavity 3: BU signal 2, shift (from C1-2)"));
  EXPECT_THAT(svg("4"), HasSubstr("cavity 4: no wire, retire (WH came out)"));
  EXPECT_THAT(svg("5"), HasSubstr("came here from another cavity"));
  EXPECT_THAT(svg("5"), Not(HasSubstr("goes to another cavity")));
}

// A retired wire whose cavity a new one takes is one change: the new wire, in its own colours.
TEST(PlannedFace, ANewWireReplacesARetiredOne) {
  Graft graft = graft_with_plan();
  graft.plan[2].added->to.cavity = "4";
  const std::vector<FaceMark> marks = planned_face_marks(graft, graft.connectors[0]);
  const FaceMark* mark = mark_at(marks, "4");
  ASSERT_NE(mark, nullptr);
  EXPECT_EQ(mark->mark, Mark::add);
  EXPECT_EQ(mark->colour.base, "GN");
}

TEST(PlannedFace, APlugWithoutAModuleShowsItsWires) {
  Graft graft = graft_with_plan();
  graft.modules.clear();
  graft.plan.clear();
  const std::vector<FaceMark> marks = planned_face_marks(graft, graft.connectors[0]);
  ASSERT_EQ(marks.size(), 3U);
  EXPECT_EQ(marks[0].colour.base, "RD");
  EXPECT_EQ(marks[0].mark, Mark::none);
}

}  // namespace
}  // namespace loomgraft::draw_face_planned_test
