// The harm that faults do when power meets them.
#include "readings/harm.h"

#include <gtest/gtest.h>

#include <map>

#include "network/faults.h"
#include "tests/network/random_graft.h"

namespace loomgraft::readings_harm_test {
namespace {

using namespace samples;

std::map<std::string, Harm> harms_of(const Graft& graft) {
  std::vector<Fault> faults = faults_of(graft);
  judge_harm(*frame_of(graft, LoomState::as_planned), faults);
  std::map<std::string, Harm> harms;
  for (const Fault& fault : faults) harms[fault.id] = fault.harm;
  return harms;
}

// A short before the fuse burns the feed, one behind it blows the fuse.
TEST(FaultHarm, AFuseKeepsAShortFromAFire) {
  const auto harms = harms_of(heater_loom());
  EXPECT_EQ(harms.at("short_to_earth w1"), Harm::fire);
  EXPECT_EQ(harms.at("short_to_earth w2"), Harm::none);
  EXPECT_EQ(harms.at("short_to_supply w2 BAT"), Harm::none);
  EXPECT_EQ(harms.at("short_to_supply w3 BAT"), Harm::fire) << "a feed on a wire to earth";
  for (const char* id : {"wire_open w1", "blown_fuse F1", "open_device H1", "bad_joint F1:1 w1"})
    EXPECT_EQ(harms.at(id), Harm::none) << id;
}

// A fuse of 40 A leaves 1 mm2 to burn where the way to the short lets less through than blows it.
TEST(FaultHarm, AFuseTooLargeLetsItsWireBurn) {
  Graft graft = heater_loom();
  graft.devices[2].rating = Amperes{40.0};
  graft.wires[1].area = square_millimetres(0.35);
  graft.wires[1].length = Metres{6.0};
  EXPECT_EQ(harms_of(graft).at("short_to_earth w2"), Harm::fire);
  graft.devices[2].rating = Amperes{3.0};
  EXPECT_EQ(harms_of(graft).at("short_to_earth w2"), Harm::none);
}

TEST(FaultHarm, SignalsAndOutputs) {
  const auto harms = harms_of(module_loom());
  EXPECT_EQ(harms.at("wire_open w14"), Harm::false_signal) << "wiper";
  EXPECT_EQ(harms.at("wire_open w10"), Harm::false_signal) << "its reference";
  EXPECT_EQ(harms.at("short_to_earth w10"), Harm::damage) << "more than the reference gives";
  EXPECT_EQ(harms.at("short_to_earth w11"), Harm::none) << "a switch that is worked is at earth anyway";
  EXPECT_EQ(harms.at("short_to_supply w9 BAT"), Harm::fire) << "no fuse, and a driver that is on";
  EXPECT_EQ(harms.at("blown_fuse F3"), Harm::none) << "the valve only stays at rest";
}

TEST(FaultHarm, EveryGradeOccursInALargeLoom) {
  const DrawnLoom loom = random_graft(7, 60);
  FaultOptions whole;
  whole.whole_loom = true;
  std::vector<Fault> faults = faults_of(loom.graft, whole);
  std::vector<Fault> again = faults;
  judge_harm(*frame_of(loom.graft, LoomState::as_planned), faults);
  judge_harm(*frame_of(loom.graft, LoomState::as_planned), again);
  std::map<Harm, int> counts;
  for (std::size_t k = 0; k < faults.size(); ++k) {
    ++counts[faults[k].harm];
    EXPECT_EQ(faults[k].harm, again[k].harm);
    if (faults[k].kind == FaultKind::wire_open || faults[k].kind == FaultKind::bad_joint) {
      EXPECT_NE(faults[k].harm, Harm::fire) << faults[k].id;
    }
  }
  for (const Harm harm : {Harm::none, Harm::false_signal, Harm::damage, Harm::fire})
    EXPECT_GE(counts[harm], 20) << name_of(harm);
}

}  // namespace
}  // namespace loomgraft::readings_harm_test
