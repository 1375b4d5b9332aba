// What the working current of a circuit makes of its bad joints, thin wires and fuses.
#include "readings/working_currents.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <map>

#include "standards/network_figures.h"
#include "tests/network/random_graft.h"

namespace loomgraft::readings_working_currents_test {
namespace {

using namespace samples;

std::vector<Fault> weighed(const Graft& graft) {
  return with_working_currents(*frame_of(graft, LoomState::as_planned), faults_of(graft));
}

// Maximum power transfer (any textbook of circuits): a load as large as the source's own resistance takes a
// quarter of volts times short-circuit current.
TEST(JointHeat, IsLargestWhereTheJointEqualsTheCircuit) {
  const Volts volts{12.0};
  const Amperes current{4.0};
  EXPECT_NEAR(heat_of_joint(volts, current, {3.0}).si, 12.0 * 4.0 / 4.0, 1e-12);
  EXPECT_LT(heat_of_joint(volts, current, {2.9}).si, 12.0);
  EXPECT_LT(heat_of_joint(volts, current, {3.1}).si, 12.0);
}

// 12.5 V over 8.3 A is 1.506 ohms; with 0.3 ohms more 6.92 A flow, and 6.92² * 0.3 is 14.4 W.
TEST(JointHeat, OfATenthOfAnOhmInALargeCircuit) {
  EXPECT_NEAR(heat_of_joint({12.5}, {8.3}, {0.3}).si, 14.37, 0.01);
  EXPECT_NEAR(heat_of_joint({12.5}, {0.1}, {0.3}).si, 0.003, 1e-4);
}

RC_GTEST_PROP(JointHeat, TheSmallestThatMattersReachesItsLimit, ()) {
  const auto drawn = [](int low, int high) { return *rc::gen::inRange(low, high) / 100.0; };
  const Volts volts{drawn(600, 3000)};
  const Amperes current{drawn(1, 6000)};
  const Watts heat{drawn(50, 2000)};
  const double share = drawn(2, 50);
  const Ohms smallest = smallest_that_matters(volts, current, heat, share);
  const double dropped = smallest.si / (smallest.si + volts.si / current.si);
  const double given = heat_of_joint(volts, current, smallest).si;
  RC_ASSERT(dropped < share + 1e-9);
  RC_ASSERT(given < heat.si * (1 + 1e-9));
  RC_ASSERT(std::abs(dropped - share) < 1e-9 || std::abs(given - heat.si) < 1e-6 * heat.si);
}

TEST(JointRanges, GoFromTheSmallestThatMattersToOpen) {
  const Graft graft = heater_loom();
  const std::vector<Fault> before = faults_of(graft);
  const std::vector<Fault> faults = weighed(graft);
  std::map<std::string, double> prior;  // by repair and joint
  double sum = 0.0;
  for (std::size_t k = 0; k < faults.size(); ++k) {
    const Fault& fault = faults[k];
    sum += fault.prior;
    if (fault.kind != FaultKind::bad_joint) continue;
    EXPECT_EQ(fault.matters, fault.id.find(" slight") == std::string::npos);
    EXPECT_LT(fault.ohms, fault.up_to) << fault.id;
    const bool first = faults[k - 1].subjects != fault.subjects || faults[k - 1].kind != fault.kind;
    if (first) {
      EXPECT_EQ(fault.ohms.si, default_figure("joint_from_ohm"));
    } else {
      EXPECT_EQ(faults[k - 1].up_to, fault.ohms) << fault.id;
      EXPECT_EQ(faults[k - 1].repair, fault.repair);
    }
    const bool last = k + 1 == faults.size() || faults[k + 1].subjects != fault.subjects;
    if (last) {
      EXPECT_GE(fault.up_to.si, default_figure("joint_up_to_ohm"));
    }
    prior[subject_id(fault.subjects[0]) + subject_id(fault.subjects[1])] += fault.prior;
  }
  EXPECT_NEAR(sum, 1.0, 1e-12);
  for (const Fault& fault : before) {
    if (fault.kind != FaultKind::bad_joint) continue;
    EXPECT_NEAR(prior[subject_id(fault.subjects[0]) + subject_id(fault.subjects[1])], fault.prior, 1e-12)
        << fault.id;
  }
}

// A heater of 1.5 ohms: some 9 A. A quarter of an ohm in its feed gives off what chars a plug.
TEST(JointRanges, AHotJointIsAFire) {
  Graft graft = heater_loom();
  for (Device& device : graft.devices) {
    if (device.id == "H1") device.resistance = Ohms{1.5};
    if (device.id == "F1") device.rating = Amperes{15.0};
  }
  std::map<std::string, Fault> by_id;
  for (const Fault& fault : weighed(graft)) by_id[fault.id] = fault;
  const Fault& small = by_id.at("bad_joint H1:1 w2");
  EXPECT_NEAR(small.ohms.si, 0.05, 1e-9);
  EXPECT_NEAR(small.up_to.si, 0.3, 1e-9);
  EXPECT_GT(small.heat.si, 14.0);
  EXPECT_EQ(small.harm, Harm::fire);
  EXPECT_EQ(by_id.at("bad_joint H1:1 w2 from 100 ohm").harm, Harm::none)
      << "so little flows that it stays cool";
}

// 100 ohms do nothing to a voltage input of some 100 kilohms; enough of them do.
TEST(JointRanges, OfASensorBeginWhereTheInputShifts) {
  for (const Fault& fault : weighed(module_loom())) {
    if (fault.kind != FaultKind::bad_joint || subject_id(fault.subjects[1]) != "w14") continue;
    if (!fault.matters) continue;
    EXPECT_GE(fault.ohms.si, 20.0) << fault.id;
  }
}

TEST(ThinWires, AreListedWhereTheyMatter) {
  Graft graft = heater_loom();
  for (Wire& wire : graft.wires) graft.plan.push_back(addition(wire));
  graft.wires.clear();
  const auto thin = [&] {
    std::size_t count = 0;
    for (const Fault& fault : weighed(graft)) count += fault.kind == FaultKind::thin_wire ? 1 : 0;
    return count;
  };
  for (Device& device : graft.devices) {
    if (device.id == "H1") device.resistance = Ohms{1.0};
  }
  EXPECT_GT(thin(), 0U);
  for (Device& device : graft.devices) {
    if (device.id == "H1") device.resistance = Ohms{1000.0};
  }
  EXPECT_EQ(thin(), 0U);
}

TEST(HigherFuses, AreAFireWhereTheWireWouldBurnFirst) {
  Graft graft = heater_loom();
  const auto harm = [&] {
    for (const Fault& fault : weighed(graft)) {
      if (fault.kind == FaultKind::wrong_rating) return fault.harm;
    }
    return Harm::none;
  };
  graft.devices[2].rating = Amperes{20.0};
  graft.wires[1].area = square_millimetres(0.5);
  EXPECT_EQ(harm(), Harm::fire);
  graft.devices[2].rating = Amperes{3.0};
  graft.wires[0].area = graft.wires[1].area = square_millimetres(4.0);
  EXPECT_EQ(harm(), Harm::none);
}

}  // namespace
}  // namespace loomgraft::readings_working_currents_test
