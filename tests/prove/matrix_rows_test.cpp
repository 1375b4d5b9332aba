// The order of the table of faults against steps, and what readings make of its steps.
#include "prove/matrix_rows.h"

#include <gtest/gtest.h>

#include <limits>

#include "tests/prove/made_up_proof.h"

namespace loomgraft::prove_matrix_rows_test {
namespace {

using samples::faulty;
using samples::MadeUpProof;
using samples::sound;

// Drawn:   a b c d e     steps 0 and 1 tell a and d alike; nothing tells b and e
//   step 0 x . . x .
//   step 1 x . x x .
MadeUpProof five_faults() {
  MadeUpProof made;
  for (const char* id : {"a", "b", "c", "d", "e"}) made.add_fault(id, 0.1);
  made.add_test("t0", sound, {faulty, sound, sound, faulty, sound});
  made.add_test("t1", sound, {faulty, sound, faulty, faulty, sound}, 1.0, 0, "ohm");
  return made;
}

TEST(MatrixRows, FaultsAlikeShareARowAndTheUnexposedStandLastEachAlone) {
  const ProveReport report = five_faults().proof.report;
  const std::vector<MatrixRow> rows = matrix_rows(report);
  ASSERT_EQ(rows.size(), 4U);
  EXPECT_EQ(rows[0].faults, (std::vector<std::size_t>{0, 3}));
  EXPECT_EQ(rows[0].steps, (std::vector<std::size_t>{0, 1}));
  EXPECT_EQ(rows[1].faults, (std::vector<std::size_t>{2}));
  EXPECT_EQ(rows[2].faults, (std::vector<std::size_t>{1}));
  EXPECT_TRUE(rows[2].steps.empty());
  EXPECT_EQ(rows[3].faults, (std::vector<std::size_t>{4}));
}

TEST(MatrixRows, ARowIsAsHarmfulAsItsWorstFault) {
  ProveReport report = five_faults().proof.report;
  report.faults[3].harm = Harm::damage;
  EXPECT_EQ(worst_harm(report, matrix_rows(report)[0]), Harm::damage);
  EXPECT_EQ(worst_harm(report, matrix_rows(report)[1]), Harm::none);
}

Reading reading(const std::string& test, double value, const std::string& unit) {
  Reading one;
  one.test = test;
  one.value = value;
  one.unit = unit;
  return one;
}

TEST(MatrixRows, TheLatestReadingThatCountsDecides) {
  ProveReport report = five_faults().proof.report;
  report.tests[1].band = {report.over_range, std::numeric_limits<double>::infinity()};
  const auto results = [&](const std::vector<Reading>& readings) { return step_results(report, readings); };
  using enum StepResult;
  EXPECT_EQ(results({}), (std::vector<StepResult>{to_do, to_do}));
  EXPECT_EQ(results({reading("t0", 0.0, "V"), reading("t1", 1e9, "ohm")}),
            (std::vector<StepResult>{in_band, in_band}));
  EXPECT_EQ(results({reading("t0", 0.0, "V"), reading("t0", 2.0, "V")}),
            (std::vector<StepResult>{out_of_band, to_do}));
  EXPECT_EQ(results({reading("t1", 12.0, "ohm")}), (std::vector<StepResult>{to_do, out_of_band}));
  EXPECT_EQ(results({reading("t0", 0.0, unreached_unit)}), (std::vector<StepResult>{unreached, to_do}));
  EXPECT_EQ(results({reading("t0", 0.0, "ohm"), reading("nobody's", 0.0, "V")}),
            (std::vector<StepResult>{to_do, to_do}));
}

}  // namespace
}  // namespace loomgraft::prove_matrix_rows_test
