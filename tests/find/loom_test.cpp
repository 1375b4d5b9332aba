// The search on proofs of looms: every fault planted in turn.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "find/find.h"
#include "find/practice.h"
#include "loom/graft_json.h"
#include "tests/find/walk.h"
#include "tests/network/random_loom.h"
#include "tests/network/small_loom.h"

namespace loomgraft::find_loom_test {
namespace {

Proof proof_of(const Graft& graft) {
  ProveOptions options;
  options.faults.whole_loom = true;
  return prove_loom(graft, options);
}

bool is_exposed(const Proof& proof, std::size_t fault) {
  return std::ranges::any_of(
      proof.report.tests, [&](const ProveTest& test) { return std::ranges::count(test.exposes, fault) > 0; });
}

// The readings of a loom with a fault never exclude that fault, and make no other repair likelier.
void expect_planted_faults_stay_possible(const Proof& proof) {
  std::size_t exposed = 0;
  for (std::size_t planted = 0; planted < proof.report.faults.size(); ++planted) {
    if (!is_exposed(proof, planted)) continue;
    ++exposed;
    const Fault& fault = proof.report.faults[planted];
    const FindReport report = find_fault(proof, practice_readings(proof, fault.id));
    // A poor touch of the probes adds as much as a slight joint does.
    const bool slight = fault.kind == FaultKind::bad_joint && fault.ohms.si < find::find_figures().touch_ohm;
    EXPECT_LT(report.no_fault, slight ? 0.25 : 2e-3) << fault.id;
    const auto explains = std::ranges::find_if(report.hypotheses, [&](const Hypothesis& one) {
      return one.faults == std::vector<std::size_t>{planted};
    });
    ASSERT_NE(explains, report.hypotheses.end()) << fault.id;
    EXPECT_EQ(explains->misread, "") << fault.id;
    // Only a fault that shows the same and was likelier from the start stands before it.
    for (const Hypothesis& other : report.hypotheses) {
      if (other.odds <= explains->odds) break;
      ASSERT_EQ(other.faults.size(), 1U) << fault.id;
      EXPECT_EQ(other.misread, "") << fault.id;
      EXPECT_GE(proof.report.faults[other.faults[0]].prior, fault.prior) << fault.id;
    }
  }
  EXPECT_GT(exposed, 5U);
}

TEST(FindInLooms, PlantedFaultsStayPossible) {
  expect_planted_faults_stay_possible(proof_of(samples::heater_loom()));
  expect_planted_faults_stay_possible(proof_of(samples::random_loom(4, 3, 12.0).graft));
}

TEST(FindInLooms, ASoundLoomHasNoFault) {
  const Proof proof = proof_of(samples::random_loom(4, 3, 12.0).graft);
  const FindReport report = find_fault(proof, practice_readings(proof, ""));
  ASSERT_FALSE(report.hypotheses.empty());
  EXPECT_TRUE(report.hypotheses[0].faults.empty());
  EXPECT_EQ(report.hypotheses[0].misread, "");
}

Proof demo_proof() {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  return prove_loom(*graft_from_json(text.str(), "graft.json").graft);
}

// The plan until its first step out of band, then what is proposed.
samples::Walk search_for(const Proof& proof, std::size_t planted) {
  const std::vector<Reading> shown = practice_readings(proof, proof.report.faults[planted].id);
  std::vector<Reading> readings;
  for (const std::size_t test : proof.report.plan) {
    readings.push_back(shown[test]);
    const Band& band = proof.report.tests[test].band;
    if (shown[test].value < band.low || shown[test].value > band.high) break;
  }
  const samples::Meter meter = [&](std::size_t test) { return shown[test].value; };
  return samples::walk(proof, planted, readings, meter, samples::best_next, {}, 10);
}

TEST(FindInLooms, IsolatesSwapsOfAddedWiresInTheDemo) {
  const Proof proof = demo_proof();
  int isolated = 0;
  for (std::size_t k = 0; k < proof.report.faults.size(); ++k) {
    const Fault& fault = proof.report.faults[k];
    const auto is_new = [](const FaultSubject& subject) { return subject.id.starts_with("n_"); };
    if (fault.kind != FaultKind::swapped_wires || std::ranges::count_if(fault.subjects, is_new) != 2)
      continue;
    const samples::Walk walk = search_for(proof, k);
    // A swap at one end of two wires and one at the other show the same.
    EXPECT_TRUE(walk.right || (walk.among && walk.left <= 3)) << fault.id;
    isolated += walk.right ? 1 : 0;
    EXPECT_LE(walk.measurements, 9U) << fault.id;
  }
  EXPECT_GE(isolated, 4);
}

}  // namespace
}  // namespace loomgraft::find_loom_test
