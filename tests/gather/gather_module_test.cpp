#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "gather/guessed_rows.h"
#include "gather/read_tables.h"

namespace loomgraft::gather_gather_module_test {
namespace {

using namespace loomgraft::gather;

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

SourceTables source(const std::string& id, double weight, const std::string& text) {
  Source from;
  from.id = id;
  from.title = id;
  from.weight = weight;
  return {from, read_tables(text, id + ".csv").tables};
}

const Pin& pin_at(const GatheredModule& gathered, const std::string& cavity) {
  for (const Pin& pin : gathered.module.pins) {
    if (pin.at.cavity == cavity) return pin;
  }
  static const Pin none;
  ADD_FAILURE() << cavity;
  return none;
}

TEST(GatherModule, HeaviestClaimFillsThePinAndAllAreKept) {
  const GatheredModule gathered = gather_module(
      "ecu", ModuleRole::found,
      {source("forum", 1.0, "Pin,Signal,Colour\n1,GND,BK\n2,VSS,YE\n3,TPS,GN\n"),
       source("manual", 3.0, "Pin,Signal,Colour\n1,Ground,BK\n2,MAP,YE\n3,TP sensor,BU\n4,n/c,\n")});
  ASSERT_THAT(gathered.module.pins, SizeIs(4));
  EXPECT_EQ(pin_at(gathered, "2").signal, "MAP");
  EXPECT_THAT(pin_at(gathered, "2").claims, SizeIs(2));
  ASSERT_THAT(pin_at(gathered, "2").doubts, SizeIs(1));
  EXPECT_THAT(pin_at(gathered, "2").doubts[0], HasSubstr("forum"));
  EXPECT_THAT(pin_at(gathered, "2").doubts[0], HasSubstr("manual"));
  EXPECT_THAT(pin_at(gathered, "1").doubts, IsEmpty());  // two spellings of one thing
  ASSERT_THAT(pin_at(gathered, "3").doubts, SizeIs(1));  // the colours differ, the signals do not
  EXPECT_THAT(pin_at(gathered, "3").doubts[0], HasSubstr("BU"));
  EXPECT_EQ(pin_at(gathered, "4").pin_class, PinClass::no_connection);
  EXPECT_EQ(pin_at(gathered, "4").populated, false);
}

TEST(GatherModule, EqualWeightsGoToTheEarlierSourceWithADoubt) {
  const GatheredModule gathered = gather_module(
      "ecu", ModuleRole::donor,
      {source("a", 1.0, "Pin,Signal\n1,GND\n2,VSS\n"), source("b", 1.0, "Pin,Signal\n1,GND\n2,MAP\n")});
  EXPECT_EQ(pin_at(gathered, "2").signal, "VSS");
  ASSERT_THAT(pin_at(gathered, "2").doubts, SizeIs(1));
  EXPECT_THAT(pin_at(gathered, "2").doubts[0], HasSubstr("the earlier one"));
}

TEST(GatherModule, ConnectorIdsCarryTheModule) {
  const GatheredModule named =
      gather_module("ecu", ModuleRole::found, {source("a", 1.0, "Plug,Pin,Signal\nC1,1,GND\nC2,1,VSS\n")});
  EXPECT_THAT(named.module.connectors, ElementsAre("ecu.C1", "ecu.C2"));
  EXPECT_EQ(named.module.pins[1].at, (CavityRef{"ecu.C2", "1"}));
  const GatheredModule plain =
      gather_module("ecu", ModuleRole::found, {source("a", 1.0, "Pin,Signal\n1,GND\n2,VSS\n")});
  EXPECT_THAT(plain.module.connectors, ElementsAre("ecu.plug"));
  EXPECT_TRUE(plain.connectors[0].rows_guessed);
}

TEST(GuessedRows, EveryCavityIsInOneRowOnce) {
  const std::vector<std::vector<std::string>> sets{{"1", "2", "3"},        {"A1", "A2", "B1", "B2"},
                                                   {"17C", "6C", "34C"},   {"1A", "1B", "2A", "2B"},
                                                   {"1", "auxMain", "90"}, {"AA1", "AB1"}};
  for (const auto& cavities : sets) {
    std::multiset<std::string> placed;
    for (const CavityRow& row : guess_rows(cavities)) {
      for (const std::string& name : row.cavities) {
        if (!name.empty()) placed.insert(name);
      }
      EXPECT_GT(row.pitch.si, 0.0);
    }
    EXPECT_EQ(placed, std::multiset<std::string>(cavities.begin(), cavities.end()));
  }
  EXPECT_THAT(guess_rows({"A1", "A2", "B1", "B2"}), SizeIs(2));
  std::vector<std::string> many;
  for (int i = 1; i <= 35; ++i) many.push_back(std::to_string(i));
  EXPECT_THAT(guess_rows(many), SizeIs(2));
}

TEST(GatherModule, SharedCircuitsHaveTheSignalOfTheMergedPin) {
  const GatheredModule gathered =
      gather_module("ecu", ModuleRole::found,
                    {source("manual", 1.0,
                            "Pin,Signal\n1,GND\n2,eng. speed out\n3,TPS\n\n"
                            "shared circuits: eng. speed out is also read by the gearbox controller\n"),
                     source("forum", 1.0,
                            "Pin,Signal\n1,GND\n2,rev counter\n3,throttle\n\n"
                            "Shared with clocks: rev counter, yaw\n")});
  EXPECT_THAT(gathered.shared_circuits,
              ElementsAre(SharedCircuit{"eng. speed out", "gearbox controller"},
                          SharedCircuit{"eng. speed out", "clocks"}, SharedCircuit{"yaw", "clocks"}));
}

}  // namespace
}  // namespace loomgraft::gather_gather_module_test
