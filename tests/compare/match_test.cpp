#include "compare/match.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "standards/dictionary.h"
#include "tests/compare/small_graft.h"
#include "tests/compare/synthetic_modules.h"

namespace loomgraft::compare_match_test {
namespace {

double similarity(const char* a, const char* b) {
  FunctionTable table(term_dictionary());
  const FunctionId x = table.add(a);
  const FunctionId y = table.add(b);
  EXPECT_EQ(table.similarity(x, y), table.similarity(y, x)) << a << " / " << b;
  return table.similarity(x, y);
}

TEST(FunctionTable, SpellingsOfOneSignalAreOneFunction) {
  for (const auto& [a, b] :
       {std::pair{"Coolant temp sensor", "ECT"}, std::pair{"TPS 2", "throttle position sensor #2"},
        std::pair{"Power Ground", "PWR GND"}, std::pair{"CAN 1 HI", "CAN-H 1"},
        std::pair{"Inj. supply cyl. 2+3", "INJ 2/3 HIGH SIDE"}, std::pair{"brake test sw", "BPP SWITCH 2"}}) {
    EXPECT_EQ(similarity(a, b), 1.0) << a << " / " << b;
  }
}

TEST(FunctionTable, QualifiersDistinguishFunctions) {
  for (const auto& [a, b] :
       {std::pair{"Injector 1", "Injector 2"}, std::pair{"CAN high", "CAN low"},
        std::pair{"left fog lamp", "right fog lamp"}, std::pair{"INJ 1/4 HIGH SIDE", "INJ 2/3 HIGH SIDE"}}) {
    EXPECT_GT(similarity(a, b), 0.0) << a << " / " << b;
    EXPECT_LT(similarity(a, b), 0.4) << a << " / " << b;
  }
}

TEST(FunctionTable, BrakeSwitchesAndInjectorSidesAreDistinguished) {
  EXPECT_LT(similarity("stop lamp switch", "brake test sw"), 0.4);
  EXPECT_LT(similarity("INJ 1 LOW SIDE", "INJ 1 HIGH SIDE"), 0.4);
}

TEST(FunctionTable, UnrelatedFunctionsHaveSimilarityZero) {
  EXPECT_EQ(similarity("Injector 1", "Knock sensor 1"), 0.0);
  EXPECT_EQ(similarity("", "ECT"), 0.0);
  EXPECT_EQ(similarity("n/c", "n/c"), 0.0);
}

TEST(Match, TotalScoreIsTheBestOverAllPairings) {
  // Against trying every pairing of five with five; the group-by-group assignment must reach the same total.
  for (std::uint64_t seed = 1; seed <= 25; ++seed) {
    const auto found = synthetic::make_module("found", 5, seed);
    const auto donor = synthetic::make_module("donor", 5, seed + 99, &found.module, 60);
    KeyTable keys;
    const ModuleKey f = keys.key_of(found.module, found.connectors);
    const ModuleKey d = keys.key_of(donor.module, donor.connectors);
    const Matching matching = match(f, d, keys.functions());
    double total = 0.0;
    for (const Match& m : matching.by_found) total += m.score;
    const MatchOptions options;
    std::vector<std::size_t> order{0, 1, 2, 3, 4};
    double best = 0.0;
    do {
      double sum = 0.0;
      for (std::size_t i = 0; i < 5; ++i) {
        const PinKey& a = f.pins[i];
        const PinKey& b = d.pins[order[i]];
        const double alike = keys.functions().similarity(a.function, b.function);
        if (alike <= 0) continue;
        const double value = score(a, b, same_cavity(a, b, matching.plugs), alike, keys.functions(), options);
        if (value >= options.ask) sum += value;
      }
      best = std::max(best, sum);
    } while (std::next_permutation(order.begin(), order.end()));
    EXPECT_NEAR(total, best, 1e-9) << "seed " << seed;
  }
}

TEST(PinKey, CavitiesAndPlugsHaveOneName) {
  EXPECT_EQ(canonical_cavity("A01"), "A1");
  EXPECT_EQ(canonical_cavity("007"), "7");
  EXPECT_EQ(canonical_cavity("0"), "0");
  EXPECT_EQ(canonical_cavity("10"), "10");
  EXPECT_NE(canonical_cavity("a1"), canonical_cavity("A1"));
  EXPECT_EQ(canonical_connector("C-2"), canonical_connector("c 2"));
}

TEST(PlugMap, PlugsAreMatchedByNameThenByContents) {
  Graft graft = two_modules({{"1", "ECT"}, {"2", "IAT"}}, {{"1", "ECT"}, {"2", "IAT"}});
  Connector other;
  other.id = "donor.X9";
  other.name = "X9";
  graft.connectors.push_back(other);
  graft.connectors[1].name = "X1";  // the donor's first plug has another name than the vehicle's C1
  graft.modules[1].connectors = {"donor.X9", "donor.C1"};
  KeyTable keys;
  const ModuleKey found = keys.key_of(graft.modules[0], graft.connectors);
  const ModuleKey donor = keys.key_of(graft.modules[1], graft.connectors);
  const PlugMap map = map_plugs(found, donor);
  EXPECT_EQ(map.found_of, (std::vector<std::uint16_t>{no_plug, 0}));
  EXPECT_TRUE(map.guessed);
}

}  // namespace
}  // namespace loomgraft::compare_match_test
