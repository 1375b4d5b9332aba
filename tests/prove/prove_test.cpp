// Plans on small looms and random looms: every fault that can be exposed is, and nothing unsafe comes early.
#include "prove/prove.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "prove/conditions_internal.h"
#include "prove/json.h"
#include "prove/plan_internal.h"
#include "setcover/cover.h"
#include "tests/network/random_graft.h"
#include "tests/network/random_loom.h"
#include "tests/network/small_loom.h"

namespace loomgraft::prove_prove_test {
namespace {

using namespace loomgraft::prove;

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

std::set<std::size_t> exposed_by_tests(const ProveReport& report, const std::vector<std::size_t>& tests) {
  std::set<std::size_t> exposed;
  for (const std::size_t test : tests) {
    exposed.insert(report.tests[test].exposes.begin(), report.tests[test].exposes.end());
  }
  return exposed;
}

std::vector<std::size_t> all_tests(const ProveReport& report) {
  std::vector<std::size_t> all(report.tests.size());
  for (std::size_t k = 0; k < all.size(); ++k) all[k] = k;
  return all;
}

std::vector<Graft> grafts() {
  std::vector<Graft> made{samples::heater_loom(), samples::module_loom(), samples::relay_loom()};
  for (std::uint64_t seed = 1; seed <= 4; ++seed)
    made.push_back(samples::random_loom(seed, 5, seed % 2 ? 12.0 : 24.0).graft);
  return made;
}

class EveryGraft : public ::testing::Test {
 protected:
  static const std::vector<Proof>& proofs() {
    static const std::vector<Proof> all = [] {
      std::vector<Proof> made;
      for (const Graft& graft : grafts()) made.push_back(prove_loom(graft));
      return made;
    }();
    return all;
  }
};

TEST_F(EveryGraft, PlanExposesWhateverAnyTestExposes) {
  for (const Proof& proof : proofs()) {
    const ProveReport& report = proof.report;
    EXPECT_FALSE(report.plan.empty());
    const std::set<std::size_t> planned = exposed_by_tests(report, report.plan);
    EXPECT_EQ(planned, exposed_by_tests(report, all_tests(report)));
    EXPECT_EQ(planned.size() + report.unexposed.size(), faults_that_matter(report));
    for (const Unexposed& one : report.unexposed) {
      EXPECT_FALSE(planned.contains(one.fault));
      EXPECT_THAT(one.why, Not(IsEmpty()));
      EXPECT_THAT(one.remedy, Not(IsEmpty()));
    }
  }
}

TEST_F(EveryGraft, MostFaultsAreExposed) {
  for (const Proof& proof : proofs())
    EXPECT_LT(proof.report.unexposed.size(), proof.report.faults.size() / 5);
}

TEST(Unexposed, BridgeToAnEmptyCavityIsInspectedByEye) {
  Graft graft = samples::module_loom();
  graft.connectors[0].rows = samples::rows_of(9, 9);
  const auto added = std::ranges::find(graft.wires, "w14", &Wire::id);  // of C1-8
  graft.plan = {samples::addition(*added)};
  graft.wires.erase(added);
  const ProveReport report = prove_loom(graft).report;
  std::size_t empty = 0;
  for (const Unexposed& one : report.unexposed) {
    const Fault& fault = report.faults[one.fault];
    const bool about =
        fault.kind == FaultKind::bridged_cavities && fault.id.find("C1:9") != std::string::npos;
    EXPECT_EQ(one.remedy.find("close the empty cavity") != std::string::npos, about) << fault.id;
    EXPECT_EQ(one.why.find("no wire in C1-9") != std::string::npos, about) << fault.id;
    empty += about ? 1 : 0;
  }
  EXPECT_GT(empty, 0U);
}

// Before the battery is on, every harmful fault that a test without power exposes has been looked for.
TEST_F(EveryGraft, NothingIsPoweredBeforeWhatCouldDoHarmIsExcluded) {
  std::size_t harmful = 0;
  for (const Proof& proof : proofs()) {
    const ProveReport& report = proof.report;
    std::set<std::size_t> shows_dead, found;
    for (const ProveTest& test : report.tests) {
      if (!report.conditions[test.condition].live)
        shows_dead.insert(test.exposes.begin(), test.exposes.end());
    }
    bool live = false;
    for (const std::size_t number : report.plan) {
      const ProveTest& test = report.tests[number];
      if (report.conditions[test.condition].live && !live) {
        live = true;
        for (const std::size_t fault : shows_dead) {
          if (report.faults[fault].harm < Harm::damage) continue;
          ++harmful;
          EXPECT_TRUE(found.contains(fault)) << report.faults[fault].id;
        }
      }
      EXPECT_EQ(live, report.conditions[test.condition].live) << test.id;
      found.insert(test.exposes.begin(), test.exposes.end());
    }
  }
  EXPECT_GT(harmful, 10u);  // else nothing was tested
}

TEST_F(EveryGraft, EachConditionIsBroughtAboutOnce) {
  for (const Proof& proof : proofs()) {
    std::set<std::size_t> left;
    std::optional<std::size_t> now;
    for (const std::size_t test : proof.report.plan) {
      const std::size_t condition = proof.report.tests[test].condition;
      if (now && *now != condition) left.insert(*now);
      now = condition;
      EXPECT_FALSE(left.contains(condition));
    }
  }
}

TEST_F(EveryGraft, BoundIsNotAboveThePlan) {
  for (const Proof& proof : proofs()) {
    EXPECT_LE(proof.report.bound_minutes, proof.report.plan_minutes + 1e-9);
    EXPECT_GE(proof.report.bound_minutes, 0.6 * proof.report.plan_minutes);
  }
}

TEST_F(EveryGraft, ExposedFaultsHaveReadingsOutsideTheBand) {
  for (const Proof& proof : proofs()) {
    const ProveReport& report = proof.report;
    ASSERT_EQ(proof.readings.faults, report.faults.size());
    for (std::size_t test = 0; test < report.tests.size(); ++test) {
      const Band& band = report.tests[test].band;
      EXPECT_LE(band.low, band.high);
      EXPECT_LE(band.low, report.tests[test].nominal + 1e-9);
      for (const std::size_t fault : report.tests[test].exposes) {
        const Band& under = proof.readings.at(test, fault);
        EXPECT_TRUE(under.low > band.high || under.high < band.low) << report.tests[test].id;
      }
    }
  }
}

TEST_F(EveryGraft, SameGraftSameReport) {
  const std::vector<Graft> all = grafts();
  for (std::size_t k = 0; k < all.size(); k += 2)
    EXPECT_EQ(to_json(prove_loom(all[k]).report).dump(), to_json(proofs()[k].report).dump());
}

TEST_F(EveryGraft, JointThresholdsBelongToPlannedTests) {
  std::size_t detected = 0;
  for (const Proof& proof : proofs()) {
    for (const JointThreshold& joint : proof.report.joints) {
      if (!joint.ohms) continue;
      ++detected;
      const bool planned = std::ranges::any_of(
          proof.report.plan, [&](std::size_t test) { return proof.report.tests[test].id == joint.test; });
      EXPECT_TRUE(planned) << joint.joint;
    }
  }
  EXPECT_GT(detected, 20u);
}

// The bad joints that the plan's tests expose where a bad joint adds so many ohms.
std::set<std::string> joints_exposed(const Graft& graft, double ohms, const ProveReport& plan) {
  std::set<std::string> planned;
  for (const std::size_t test : plan.plan) planned.insert(plan.tests[test].id);
  ProveOptions options;
  options.faults.joint_ohms = ohms;
  const ProveReport report = prove_loom(graft, options).report;
  std::set<std::string> exposed;
  for (const ProveTest& test : report.tests) {
    if (!planned.contains(test.id)) continue;
    for (const std::size_t fault : test.exposes) exposed.insert(report.faults[fault].text);
  }
  return exposed;
}

// A resistance above the threshold of a joint is exposed, one below is not: by the planned tests alone. Thresholds
// have steps of 12 %.
TEST(Joints, AreExposedFromTheirThresholdOn) {
  constexpr double step = 1.15;
  std::size_t above = 0;
  std::size_t below = 0;
  for (const Graft& graft : {samples::heater_loom(), samples::module_loom()}) {
    const ProveReport report = prove_loom(graft).report;
    for (const double ohms : {0.05, 0.5, 5.0, 500.0, 5e4}) {
      const std::set<std::string> exposed = joints_exposed(graft, ohms, report);
      for (const JointThreshold& joint : report.joints) {
        if (joint.ohms && ohms > joint.ohms->si * step) {
          ++above;
          EXPECT_TRUE(exposed.contains(joint.text)) << joint.joint << " " << ohms;
        } else if (!joint.ohms || ohms < joint.ohms->si / step) {
          ++below;
          EXPECT_FALSE(exposed.contains(joint.text)) << joint.joint << " " << ohms;
        }
      }
    }
  }
  EXPECT_GT(above, 10u);
  EXPECT_GT(below, 10u);
}

std::set<TestKind> kinds_that_expose(const ProveReport& report, FaultKind kind) {
  std::set<TestKind> kinds;
  for (const ProveTest& test : report.tests) {
    for (const std::size_t fault : test.exposes) {
      if (report.faults[fault].kind == kind) kinds.insert(test.kind);
    }
  }
  return kinds;
}

// All of it new, so that every joint may open when it is moved.
Graft all_added(Graft graft) {
  for (Wire& wire : graft.wires) graft.plan.push_back(samples::addition(wire));
  graft.wires.clear();
  return graft;
}

TEST(Prove, AJointThatOpensWhenMovedShowsOnlyWhileItIsMoved) {
  const ProveReport report = prove_loom(all_added(samples::module_loom())).report;
  EXPECT_EQ(kinds_that_expose(report, FaultKind::intermittent_joint), std::set{TestKind::wiggle});
  EXPECT_TRUE(std::ranges::any_of(
      report.plan, [&](std::size_t test) { return report.tests[test].kind == TestKind::wiggle; }));
}

// Before the module is plugged in, with the battery off.
TEST(Prove, AnOutputThatIsAlwaysOnShowsAtTheModuleItself) {
  const ProveReport report = prove_loom(all_added(samples::module_loom())).report;
  for (const FaultKind kind : {FaultKind::stuck_driver, FaultKind::leaking_driver, FaultKind::blown_input}) {
    EXPECT_TRUE(kinds_that_expose(report, kind).contains(TestKind::module_pin)) << name_of(kind);
  }
  for (const ProveTest& test : report.tests) {
    if (test.kind != TestKind::module_pin) continue;
    EXPECT_FALSE(report.conditions[test.condition].live);
    EXPECT_EQ(test.red.target, ProbeTarget::module_pin);
  }
}

TEST(Conditions, ALampLoadsTheFeedsAndEarthsOfAModule) {
  const Graft graft = all_added(samples::module_loom());
  const ProveReport report = prove_loom(graft).report;
  std::size_t lamps = 0;
  for (const ProveCondition& condition : report.conditions) {
    for (const Jumper& jumper : condition.jumpers) {
      if (!(jumper.load.si > 0.0)) continue;
      ++lamps;
      EXPECT_TRUE(condition.live);
      // 12 V across 55 or 21 W.
      EXPECT_TRUE(std::abs(jumper.load.si - 144.0 / 55.0) < 1e-9 ||
                  std::abs(jumper.load.si - 144.0 / 21.0) < 1e-9);
    }
  }
  EXPECT_GT(lamps, 0U);
}

// 0.3 ohms where 9 A flow chars a plug: found by its drop under load, whatever an ohmmeter shows.
TEST(Prove, AHotJointIsFoundByItsDropUnderLoad) {
  Graft graft = samples::heater_loom();
  for (Device& device : graft.devices) {
    if (device.id == "H1") device.resistance = Ohms{1.5};
    if (device.id == "F1") device.rating = Amperes{15.0};
  }
  const ProveReport report = prove_loom(graft).report;
  std::size_t hot = 0;
  for (std::size_t fault = 0; fault < report.faults.size(); ++fault) {
    if (report.faults[fault].kind != FaultKind::bad_joint || report.faults[fault].up_to.si > 0.31) continue;
    ++hot;
    std::set<TestKind> kinds;
    for (const ProveTest& test : report.tests) {
      if (std::ranges::count(test.exposes, fault) > 0) kinds.insert(test.kind);
    }
    EXPECT_FALSE(kinds.contains(TestKind::continuity)) << "an ohmmeter of tenths does not show 0.05 ohms";
  }
  EXPECT_GT(hot, 0U);
}

TEST(Prove, RefusesForbiddenCircuitsByName) {
  Graft graft = samples::module_loom();
  graft.devices.push_back(samples::device("SQ1", "resistor"));
  graft.devices.back().name = "driver's airbag";
  graft.devices.back().forbidden = true;
  graft.modules[0].pins.push_back(samples::pin("C1:9", PinClass::high_side_driver));
  graft.modules[0].pins.back().forbidden = true;
  graft.wires.push_back(samples::wire("w99", "C1:9", "SQ1:1"));
  graft.wires.push_back(samples::wire("w98", "SQ1:2", "E1:1"));
  const ProveReport report = prove_loom(graft).report;
  EXPECT_THAT(report.refused, Contains(HasSubstr("driver's airbag")));
  EXPECT_THAT(report.refused, Contains(HasSubstr("C1-9")));
  for (const ProveTest& test : report.tests) {
    EXPECT_THAT(test.id, Not(HasSubstr("SQ1")));
    EXPECT_THAT(test.id, Not(HasSubstr("C1.9")));
    EXPECT_THAT(test.clamp, Not(HasSubstr("w99")));
  }
  for (const Fault& fault : report.faults) EXPECT_THAT(fault.id, Not(HasSubstr("w99")));
}

TEST(Prove, LeavesAloneWhatIsNamedLikeARestraintUntilAPersonAnswers) {
  Graft graft = samples::module_loom();
  graft.devices.push_back(samples::device("SQ1", "resistor"));
  graft.modules[0].pins.push_back(samples::pin("C1:9", PinClass::high_side_driver));
  graft.wires.push_back(samples::wire("w99", "C1:9", "SQ1:1"));
  graft.wires.push_back(samples::wire("w98", "SQ1:2", "E1:1"));
  const auto tests_at = [](const ProveReport& report) {
    return std::ranges::count_if(report.tests, [](const ProveTest& test) {
      return test.id.find("SQ1") != std::string::npos || test.id.find("C1.9") != std::string::npos ||
             test.clamp == "w99";
    });
  };
  EXPECT_GT(tests_at(prove_loom(graft).report), 0);
  graft.devices.back().name = "Gurtstraffer links";
  const ProveReport asked = prove_loom(graft).report;
  EXPECT_EQ(tests_at(asked), 0);
  EXPECT_TRUE(std::ranges::any_of(asked.to_confirm, [](const OpenHazard& hazard) {
    return hazard.source == HazardSource::restraint && hazard.text.find("Gurtstraffer") != std::string::npos;
  }));
  for (const ProveCondition& condition : asked.conditions) {
    if (std::ranges::count(condition.setup.unplugged, "C1") == 0) continue;
    EXPECT_THAT(condition.cautions, Contains(HasSubstr("C1 also carries")));
  }
}

TEST(Prove, AsksToConfirmEachHarmfulFaultThatNoTestExposes) {
  const ProveReport report = prove_loom(samples::module_loom()).report;
  std::size_t harmful = 0;
  for (const Unexposed& one : report.unexposed) {
    const Fault& fault = report.faults[one.fault];
    if (!is_harmful(fault)) continue;
    ++harmful;
    EXPECT_TRUE(std::ranges::any_of(report.to_confirm, [&](const OpenHazard& hazard) {
      return hazard.text.find(fault.text) != std::string::npos;
    })) << fault.id;
  }
  EXPECT_GT(harmful, 0U);
  EXPECT_LE(report.to_confirm.size(), harmful) << "those of one wire together";
  ProveOptions options;
  options.hazards = {{HazardSource::design, "lamp", "the design of the lamp fails", "look at it"}};
  EXPECT_EQ(prove_loom(samples::module_loom(), options).report.to_confirm.back().id, "lamp");
}

TEST(Prove, UnknownMeterIsAnErrorAndTheDefaultIsUsed) {
  ProveOptions options;
  options.meter = "wet finger";
  const ProveReport report = prove_loom(samples::heater_loom(), options).report;
  ASSERT_FALSE(report.problems.empty());
  EXPECT_EQ(report.problems.front().code, "no-such-meter");
  EXPECT_FALSE(report.plan.empty());
}

TEST(Prove, AFinerMeterExposesMore) {
  const auto sum = [](const char* meter) {
    ProveOptions options;
    options.meter = meter;
    std::size_t exposed = 0;
    const ProveReport report = prove_loom(samples::module_loom(), options).report;
    for (const ProveTest& test : report.tests) exposed += test.exposes.size();
    return exposed;
  };
  EXPECT_GT(sum("fine"), sum("simple"));
}

ProveScope scope_of(const Graft& graft) {
  return prove_scope(frame_of(graft, LoomState::as_planned), faults_of(graft));
}

TEST(Conditions, JumperOperatesALoadAndNeverBridgesASupply) {
  Graft graft = samples::module_loom();
  Condition open;
  open.unplugged = {"C1"};
  const ProveScope scope = scope_of(graft);
  const auto loads = forced_loads(scope, open);
  ASSERT_EQ(loads.size(), 1u);  // the valve at C1:4
  EXPECT_EQ(loads[0].output, (CavityRef{"C1", "4"}));
  // A valve bridged by a wire: the same jumper would now join the feed to the body.
  graft.wires.push_back(samples::wire("w50", "V1:1", "V1:2", 4.0, 0.1));
  EXPECT_TRUE(forced_loads(scope_of(graft), open).empty());
}

TEST(Conditions, NoJumperWhereNoCurrentWouldFlow) {
  Graft graft = samples::module_loom();
  std::erase_if(graft.wires, [](const Wire& wire) { return wire.id == "w8"; });
  Condition open;
  open.unplugged = {"C1"};
  EXPECT_TRUE(forced_loads(scope_of(graft), open).empty());
}

TEST(Conditions, DeadBeforeLive) {
  const Graft graft = samples::module_loom();
  bool live = false;
  for (const PlannedCondition& planned : planned_conditions(scope_of(graft))) {
    if (planned.use == ConditionUse::test_plug) continue;  // they stand last, so that they can be left out
    EXPECT_FALSE(live && !planned.condition.live);
    live = planned.condition.live;
    EXPECT_EQ(planned.condition.live, !planned.condition.setup.battery_off);
    EXPECT_FALSE(planned.condition.cautions.empty());
  }
  EXPECT_TRUE(live);
}

}  // namespace
}  // namespace loomgraft::prove_prove_test
