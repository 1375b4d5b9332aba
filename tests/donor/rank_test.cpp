#include "donor/rank.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "donor/bound.h"
#include "tests/compare/synthetic_modules.h"

namespace loomgraft::donor_rank_test {
namespace {

using namespace loomgraft::donor;

using synthetic::graft_of;
using synthetic::make_module;

struct Setting {
  Graft graft;
  KeyTable keys;
  DonorLibrary donors{keys};
};

void fill(Setting& setting, std::uint64_t seed, std::size_t donors, std::size_t pins) {
  const synthetic::Made found = make_module("found", pins, seed);
  setting.graft = graft_of(found);
  for (std::size_t i = 0; i < donors; ++i) {
    const std::size_t kin = (i * 7) % 101;  // from strangers to twins
    const auto made =
        make_module("d" + std::to_string(i), pins - 5 + i % 11, seed * 1000 + i, &found.module, kin);
    setting.donors.add(made.module, made.connectors);
  }
}

RankReport ranked(Setting& setting, const RankOptions& options) {
  return rank(setting.graft.modules[0], setting.graft, setting.keys, setting.donors, options);
}

TEST(Rank, BoundNeverChangesTheAnswer) {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    Setting setting;
    fill(setting, seed, 150, 40);
    RankOptions quick;
    quick.best = 12;
    RankOptions full = quick;
    full.in_full = true;
    const RankReport a = ranked(setting, quick);
    const RankReport b = ranked(setting, full);
    ASSERT_EQ(a.donors.size(), 12u);
    for (std::size_t i = 0; i < a.donors.size(); ++i) {
      EXPECT_EQ(a.donors[i].id, b.donors[i].id) << "seed " << seed << " place " << i;
      EXPECT_EQ(a.donors[i].cost, b.donors[i].cost);
    }
    EXPECT_EQ(b.compared_in_full, 150u);
    EXPECT_LT(a.compared_in_full, b.compared_in_full) << "the bound must save comparisons";
  }
}

TEST(Rank, BoundIsBelowEveryCost) {
  for (std::uint64_t seed = 11; seed <= 14; ++seed) {
    Setting setting;
    fill(setting, seed, 120, 30);
    RankOptions all;
    all.best = 120;
    all.in_full = true;
    const ModuleKey found = setting.keys.key_of(setting.graft.modules[0], setting.graft.connectors);
    const RankReport report = ranked(setting, all);
    DonorBound bound(found, setting.keys.functions(), all.match, all.costs, setting.graft.vehicle.supply);
    for (const RankedDonor& donor : report.donors) {
      const PlugMap plugs = map_plugs(found, setting.donors.view(donor.donor));
      EXPECT_LE(bound.of(setting.donors.pins(donor.donor), plugs), donor.cost - donor.tag_cost + 1e-9)
          << donor.id;
    }
  }
}

TEST(Rank, AnIdenticalDonorCostsNothing) {
  Setting setting;
  const synthetic::Made found = make_module("found", 30, 3);
  setting.graft = graft_of(found);
  synthetic::Made twin = make_module("twin", 30, 3);
  for (Pin& pin : twin.module.pins) pin.hardware.reset();
  for (Pin& pin : twin.module.pins) pin.populated.reset();
  for (Pin& pin : setting.graft.modules[0].pins) pin.populated.reset();
  setting.donors.add(twin.module, twin.connectors);
  const RankReport report = ranked(setting, {});
  ASSERT_EQ(report.donors.size(), 1u);
  EXPECT_EQ(report.donors[0].cost - report.donors[0].tag_cost, 0.0);
}

TEST(Rank, EqualCostsKeepTheirOrder) {
  Setting setting;
  const synthetic::Made found = make_module("found", 20, 5);
  setting.graft = graft_of(found);
  for (const char* id : {"first", "second", "third"}) {
    synthetic::Made made = make_module(id, 20, 5);
    setting.donors.add(made.module, made.connectors);
  }
  RankOptions options;
  options.best = 2;
  const RankReport report = ranked(setting, options);
  EXPECT_EQ(report.donors[0].id, "first");
  EXPECT_EQ(report.donors[1].id, "second");
}

TEST(Rank, AnswersAboutPairsCount) {
  Setting setting;
  const synthetic::Made found = make_module("found", 20, 5);
  setting.graft = graft_of(found);
  const synthetic::Made twin = make_module("twin", 20, 5);
  setting.donors.add(twin.module, twin.connectors, {.same = {}, .different = {{0, 0}}});
  setting.donors.add(twin.module, twin.connectors);
  synthetic::Made odd = twin;
  for (std::size_t pin = 0; pin < 8; ++pin) odd.module.pins[pin].signal = "qzx" + std::to_string(pin);
  for (std::size_t pin = 0; pin < 8; ++pin) odd.module.pins[pin].term.clear();
  PairAnswers all_same;
  for (std::size_t pin = 0; pin < 8; ++pin) all_same.same.push_back({pin, pin});
  setting.donors.add(odd.module, odd.connectors);
  setting.donors.add(odd.module, odd.connectors, all_same);
  RankOptions options;
  options.best = 4;
  const RankReport report = ranked(setting, options);
  ASSERT_EQ(report.donors.size(), 4u);
  std::vector<double> cost(4);
  for (const RankedDonor& donor : report.donors) cost[donor.donor] = donor.cost;
  EXPECT_GT(cost[0], cost[1]) << "one circuit is not served by what a person said is another";
  EXPECT_LT(cost[3], cost[2]) << "names that nobody could match are the same circuits";
  for (options.best = 1; options.best < 4; ++options.best) {
    const RankReport few = ranked(setting, options);
    for (std::size_t i = 0; i < few.donors.size(); ++i)
      EXPECT_EQ(few.donors[i].donor, report.donors[i].donor) << "the bound never drops a better donor";
  }
}

}  // namespace
}  // namespace loomgraft::donor_rank_test
