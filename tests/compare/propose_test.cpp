#include "compare/propose.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "loom/plan.h"
#include "loom/validate.h"
#include "tests/compare/small_graft.h"

namespace loomgraft::compare_propose_test {
namespace {

Graft named_alike(Graft graft) {
  for (Connector& connector : graft.connectors) connector.name = "C1";
  return graft;
}

Graft exchanged_terminals() {
  return named_alike(two_modules({{"1", "Engine speed", PinClass::digital_sensor_input},
                                  {"2", "Coolant temperature", PinClass::thermistor_input},
                                  {"3", "Cab heater relay", PinClass::low_side_driver}},
                                 {{"2", "Engine speed", PinClass::digital_sensor_input},
                                  {"1", "Coolant temperature", PinClass::thermistor_input},
                                  {"4", "Pump request switch", PinClass::switch_to_supply_input}}));
}

const PlanStep* step_of(const Graft& graft, PlanAction action, const std::string& cavity) {
  for (const PlanStep& step : graft.plan) {
    if (step.action != action) continue;
    if (action == PlanAction::add && step.added->from.cavity == cavity) return &step;
    if (action == PlanAction::move && step.from.cavity == cavity) return &step;
    if (action == PlanAction::retire && step.wire == "C1_" + cavity) return &step;
  }
  return nullptr;
}

TEST(Propose, TurnsEachVerdictIntoItsStep) {
  const Proposal proposal = propose_plan(exchanged_terminals(), "found", "donor");
  EXPECT_EQ(proposal.moves, 2U);
  EXPECT_EQ(proposal.additions, 1U);
  EXPECT_EQ(proposal.retirements, 1U);
  ASSERT_NE(step_of(proposal.graft, PlanAction::move, "1"), nullptr);
  EXPECT_EQ(step_of(proposal.graft, PlanAction::move, "1")->to, (WireEnd{"found.C1", "2"}));
  ASSERT_NE(step_of(proposal.graft, PlanAction::add, "4"), nullptr);
  ASSERT_NE(step_of(proposal.graft, PlanAction::retire, "3"), nullptr);
}

TEST(Propose, GivesAPlanThatApplies) {
  const Proposal proposal = propose_plan(exchanged_terminals(), "found", "donor");
  EXPECT_TRUE(as_planned(proposal.graft).problems.empty());
  EXPECT_EQ(as_planned(proposal.graft).wires.size(), 3U);  // two moved, one added, one gone
}

TEST(Propose, ChangesNothingTheSecondTime) {
  const Proposal once = propose_plan(exchanged_terminals(), "found", "donor");
  const Proposal twice = propose_plan(once.graft, "found", "donor");
  EXPECT_EQ(twice.graft, once.graft);
  EXPECT_EQ(twice.moves + twice.additions + twice.retirements, 0U);
}

TEST(Propose, TakesNoWireFromAnEmptyRow) {
  const Graft graft = named_alike(two_modules({{"1", "Engine speed"}, {"2", ""}}, {{"2", "Engine speed"}}));
  const Proposal proposal = propose_plan(graft, "found", "donor");
  EXPECT_EQ(proposal.graft.wires.size(), 1U);
  EXPECT_TRUE(as_planned(proposal.graft).problems.empty());
}

TEST(Propose, ReportsOnceWhichPlugTheLoomLacks) {
  Graft graft = exchanged_terminals();
  graft.connectors.back().name = "C9";
  const Proposal proposal = propose_plan(graft, "found", "donor");
  EXPECT_EQ(std::ranges::count(proposal.problems, ProblemCode("no-such-plug"), &Problem::code), 1);
  EXPECT_TRUE(as_planned(proposal.graft).problems.empty());
}

}  // namespace
}  // namespace loomgraft::compare_propose_test
