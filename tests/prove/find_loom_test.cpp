// The search on proofs of looms: every fault planted in turn.
#include <gtest/gtest.h>

#include <algorithm>

#include "prove/find.h"
#include "prove/practice.h"
#include "tests/network/random_loom.h"
#include "tests/network/small_loom.h"

namespace loomgraft {
namespace {

Proof proof_of(const Graft& graft) {
  ProveOptions options;
  options.faults.whole_loom = true;
  return prove(graft, options);
}

bool is_exposed(const Proof& proof, std::size_t fault) {
  return std::ranges::any_of(
      proof.report.tests, [&](const ProveTest& test) { return std::ranges::count(test.exposes, fault) > 0; });
}

// What a loom with a fault shows never speaks against that fault, and no repair is likelier by its readings.
void expect_planted_faults_stay_in(const Proof& proof) {
  std::size_t exposed = 0;
  for (std::size_t planted = 0; planted < proof.report.faults.size(); ++planted) {
    if (!is_exposed(proof, planted)) continue;
    ++exposed;
    const Fault& fault = proof.report.faults[planted];
    const FindReport report = find_fault(proof, practice_readings(proof, fault.id));
    EXPECT_LT(report.all_well, 1e-3) << fault.id;
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

TEST(FindInLooms, PlantedFaultsStayIn) {
  expect_planted_faults_stay_in(proof_of(samples::heater_loom()));
  expect_planted_faults_stay_in(proof_of(samples::random_loom(4, 3, 12.0).graft));
}

TEST(FindInLooms, ASoundLoomIsCalledWell) {
  const Proof proof = proof_of(samples::random_loom(4, 3, 12.0).graft);
  const FindReport report = find_fault(proof, practice_readings(proof, ""));
  ASSERT_FALSE(report.hypotheses.empty());
  EXPECT_TRUE(report.hypotheses[0].faults.empty());
  EXPECT_EQ(report.hypotheses[0].misread, "");
}

}  // namespace
}  // namespace loomgraft
