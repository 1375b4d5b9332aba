// What the report says of an assumption against a whole design in which the other end of its interval is stated.
#include <gtest/gtest.h>

#include <algorithm>

#include "design/design.h"
#include "standards/device_kinds.h"
#include "tests/design/report_queries.h"
#include "tests/design/small_loom.h"

namespace loomgraft::design_outcomes_test {
namespace {

using samples::check_of;

// In the default air of a place that nobody knows no wire of class A lives.
Graft cool_loom() {
  Graft graft = small_loom();
  LoomPlace place;
  place.id = "cab";
  place.hottest = Celsius{40.0};
  graft.places = {place};
  for (Device& device : graft.devices) device.place = "cab";
  for (Connector& connector : graft.connectors) connector.place = "cab";
  return graft;
}

// The sizes that the design chose, stated.
Graft with_chosen_sizes(Graft graft) {
  const DesignReport report = design_circuits(graft, {.remedies = false, .outcomes = false});
  for (PlanStep& step : graft.plan) {
    if (!step.added) continue;
    if (const WireDesign* wire = samples::wire_of(report, step.added->id)) step.added->area = wire->smallest;
  }
  return graft;
}

const DesignAssumption* assumption_of(const DesignReport& report, const std::string& subject,
                                      const std::string& quantity) {
  const auto found = std::ranges::find_if(report.assumptions, [&](const DesignAssumption& item) {
    return item.subject == subject && item.quantity == quantity;
  });
  return found == report.assumptions.end() ? nullptr : &*found;
}

// The value, limit and margin that the report promises are those of the design with the fact stated.
void expect_promised(const AssumedOtherwise& promised, const DesignReport& stated) {
  const Check* check = check_of(stated, promised.kind, id_of(promised.subject));
  ASSERT_TRUE(check) << name_of(promised.kind);
  EXPECT_NEAR(promised.value, check->value, 1e-3 * std::max(1.0, std::abs(check->value)));
  EXPECT_NEAR(promised.limit, check->limit, 1e-3 * std::max(1.0, std::abs(check->limit)));
  EXPECT_NEAR(promised.margin, check->margin, 2e-3 * std::max(1.0, std::abs(check->margin)));
  EXPECT_EQ(promised.passes, check->passes);
}

TEST(Outcomes, InsulationIsThatOfADesignWithClassA) {
  const Graft graft = with_chosen_sizes(cool_loom());
  const DesignReport report = design_circuits(graft);
  std::size_t told = 0;
  for (const char* wire : {"w_f", "feed", "drive"}) {
    const DesignAssumption* item = assumption_of(report, wire, "insulation");
    ASSERT_TRUE(item) << wire;
    if (!item->outcome) continue;
    ++told;
    EXPECT_LT(item->outcome->margin, item->outcome->margin_now) << wire;
    Graft other = graft;
    for (PlanStep& step : other.plan) {
      if (step.added->id == wire) step.added->insulation = "class A";
    }
    expect_promised(*item->outcome, design_circuits(other, {.remedies = false, .outcomes = false}));
  }
  EXPECT_GT(told, 0U);
}

TEST(Outcomes, AnAssumedLoadIsThatOfADesignWithTheLoadStated) {
  Graft graft = small_loom();
  graft.devices[3].resistance.reset();
  graft.modules[0].pins[1].limits.current = Amperes{50.0};  // far from it
  graft.vehicle.supply = Volts{12.0};
  graft = with_chosen_sizes(graft);
  const DesignReport report = design_circuits(graft);
  const DesignAssumption* item = assumption_of(report, "Y1", "resistance_ohm");
  ASSERT_TRUE(item);
  ASSERT_TRUE(item->outcome);
  const AssumedOtherwise& promised = *item->outcome;
  // Checks of the weakest corner take the highest resistance now, the others the lowest.
  const auto& figure = device_kind("valve")->figures.at("resistance_ohm");
  const bool weakest = promised.kind != CheckKind::driver_current && promised.kind != CheckKind::fuse_load;
  Graft other = graft;
  other.devices[3].resistance = Ohms{weakest ? figure.low() : figure.high()};
  ASSERT_TRUE(weakest) << name_of(promised.kind);
  expect_promised(promised, design_circuits(other, {.remedies = false, .outcomes = false}));
}

TEST(Outcomes, ABatteryOfHighResistanceGivesASmallerShort) {
  Graft graft = with_chosen_sizes(small_loom());
  const DesignReport report = design_circuits(graft);
  const DesignAssumption* item = assumption_of(report, "battery", "resistance");
  ASSERT_TRUE(item);
  ASSERT_TRUE(item->outcome);
  EXPECT_GT(item->outcome->margin, item->outcome->margin_now);
}

TEST(Outcomes, NothingIsSaidOfACopyThatAsksForNone) {
  const DesignReport report = design_circuits(small_loom(), {.outcomes = false});
  ASSERT_FALSE(report.assumptions.empty());
  EXPECT_TRUE(std::ranges::none_of(report.assumptions,
                                   [](const DesignAssumption& item) { return item.outcome.has_value(); }));
}

TEST(Outcomes, AreTheSameTwice) {
  const DesignReport one = design_circuits(small_loom());
  const DesignReport other = design_circuits(small_loom());
  ASSERT_EQ(one.assumptions.size(), other.assumptions.size());
  for (std::size_t k = 0; k < one.assumptions.size(); ++k) {
    const auto& a = one.assumptions[k].outcome;
    const auto& b = other.assumptions[k].outcome;
    ASSERT_EQ(a.has_value(), b.has_value());
    EXPECT_TRUE(!a || (a->margin == b->margin && a->kind == b->kind && a->subject == b->subject));
  }
}

}  // namespace
}  // namespace loomgraft::design_outcomes_test
