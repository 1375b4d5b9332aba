// The demonstration's document: it holds together, and its plan is the right answer that stands beside it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "loom/graft_json.h"
#include "loom/plan.h"
#include "loom/validate.h"
#include "standards/device_kinds.h"
#include "standards/rule_sets.h"

namespace loomgraft::loom_demo_graft_test {
namespace {

using ::testing::IsEmpty;
using ::testing::IsSubsetOf;

const std::string folder = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/";

std::string text_of(const std::string& name) {
  std::ifstream stream(folder + name);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

Graft demo() {
  GraftReading reading = graft_from_json(text_of("graft.json"), "graft.json");
  EXPECT_THAT(reading.problems, IsEmpty());
  return reading.graft.value_or(Graft{});
}

// "C2-12" of a cavity of the vehicle's plugs, empty for anything else.
std::string plug_place(const WireEnd& end) {
  constexpr std::string_view own = "found.";
  return end.at.starts_with(own) ? end.at.substr(own.size()) + "-" + end.cavity : "";
}

// What the plan does, verdict by verdict, as "found>donor"; a clash and a retirement both take a wire out.
using Changes = std::map<std::string, std::set<std::string>>;

Changes changes_of(const Graft& graft) {
  Changes changes;
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::move)
      changes["shift"].insert(plug_place(step.from) + ">" + plug_place(step.to));
    for (const WireEnd& end :
         step.added ? std::vector{step.added->from, step.added->to} : std::vector<WireEnd>{}) {
      if (!plug_place(end).empty()) changes["add"].insert(">" + plug_place(end));
    }
    for (const Wire& wire : graft.wires) {
      if (step.action != PlanAction::retire || wire.id != step.wire) continue;
      const std::string place = plug_place(wire.to).empty() ? plug_place(wire.from) : plug_place(wire.to);
      changes["retire"].insert(place + ">");
    }
  }
  return changes;
}

struct Answers {
  Changes changes;
  std::set<std::string> kept;  // cavities whose wire stays
};

// expected.csv: verdict,signal,found_connector,found_cavity,donor_connector,donor_cavity,...
Answers answers() {
  Answers right;
  std::istringstream lines(text_of("expected.csv"));
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    std::vector<std::string> cells;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
    cells.resize(6);
    const std::string found = cells[2].empty() ? "" : cells[2] + "-" + cells[3];
    const std::string donor = cells[4].empty() ? "" : cells[4] + "-" + cells[5];
    if (cells[0] == "keep") right.kept.insert(found);
    if (cells[0] == "shift" || cells[0] == "add") right.changes[cells[0]].insert(found + ">" + donor);
    if (cells[0] == "retire" || cells[0] == "clash") right.changes["retire"].insert(found + ">");
  }
  return right;
}

TEST(DemoGraft, HoldsTogether) {
  const Graft graft = demo();
  EXPECT_THAT(validate(graft), IsEmpty());
  EXPECT_GE(graft.wires.size(), 90U);
  for (const Device& device : graft.devices) {
    EXPECT_NE(device_kind(device.kind), nullptr) << device.id << " " << device.kind;
    EXPECT_TRUE(device.model.empty() || device_model(device.model)) << device.model;
    if (!device.model.empty()) {
      EXPECT_EQ(device_model(device.model)->kind, device.kind) << device.id;
    }
  }
}

TEST(DemoGraft, PlanIsTheRightAnswer) {
  const Changes planned = changes_of(demo());
  const Answers right = answers();
  EXPECT_EQ(right.changes.at("add").size(), 10U);
  EXPECT_EQ(right.changes.at("shift").size(), 5U);
  EXPECT_EQ(planned, right.changes);
}

TEST(DemoGraft, WhatStaysIsNotTouched) {
  const Graft graft = demo();
  const Answers right = answers();
  std::set<std::string> touched;
  for (const auto& [verdict, places] : changes_of(graft)) {
    for (const std::string& place : places) touched.insert(place.substr(0, place.find('>')));
  }
  for (const std::string& place : right.kept) EXPECT_FALSE(touched.contains(place)) << place;
  std::set<std::string> wired;
  for (const Wire& wire : graft.wires) {
    for (const WireEnd& end : {wire.from, wire.to}) wired.insert(plug_place(end));
  }
  wired.erase("");
  std::set<std::string> found = right.kept;
  for (const auto& [verdict, places] : right.changes) {
    for (const std::string& place : places) found.insert(place.substr(0, place.find('>')));
  }
  EXPECT_THAT(wired, IsSubsetOf(found));
}

// Terminals of devices exist, and every wire ends at something.
TEST(DemoGraft, WiresEndAtTerminalsThatTheirDevicesHave) {
  const Graft graft = demo();
  for (const Wire& wire : as_planned(graft).wires) {
    for (const WireEnd& end : {wire.from, wire.to}) {
      for (const Device& device : graft.devices) {
        if (device.id != end.at) continue;
        const auto& terminals =
            device.terminals.empty() ? device_kind(device.kind)->terminals : device.terminals;
        EXPECT_THAT(std::vector{end.cavity}, IsSubsetOf(terminals)) << wire.id;
      }
    }
  }
}

TEST(DemoGraft, OverridesNameRulesAndGiveReasons) {
  const Graft graft = demo();
  const RuleSet* set = rule_set(graft.rules.set);
  ASSERT_NE(set, nullptr);
  ASSERT_FALSE(graft.rules.overrides.empty());
  for (const RuleOverride& rule : graft.rules.overrides) {
    EXPECT_TRUE(set->rules.contains(rule.rule)) << rule.rule;
    EXPECT_FALSE(rule.reason.empty());
  }
}

TEST(DemoGraft, ReversedPlanGivesTheVanBack) {
  const Graft graft = demo();
  std::set<std::string> devices;
  for (const Device& device : graft.devices) devices.insert(device.id);
  const PlannedWires planned = apply_plan(graft.wires, graft.plan, devices);
  const PlannedWires back = apply_plan(planned.wires, reversed(graft.plan, graft.wires), devices);
  EXPECT_THAT(back.problems, IsEmpty());
  EXPECT_EQ(back.wires, apply_plan(graft.wires, {}).wires);
}

}  // namespace
}  // namespace loomgraft::loom_demo_graft_test
