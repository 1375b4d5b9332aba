#include "find/learn.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numeric>

#include "find/figures.h"
#include "find/find.h"
#include "find/practice.h"
#include "tests/find/walk.h"
#include "tests/prove/made_up_proof.h"

namespace loomgraft::find_learn_test {
namespace {

using namespace loomgraft::find;

using samples::MadeUpProof;
using ::testing::HasSubstr;
using ::testing::SizeIs;

MadeUpProof two_kinds() {
  MadeUpProof made;
  made.add_fault("w1", 1.0, FaultKind::wire_open);
  made.add_fault("w2", 2.0, FaultKind::wire_open);
  made.add_fault("s1", 7.0, FaultKind::swapped_wires);
  made.add_test("t", samples::sound, std::vector<Band>(3, samples::faulty));
  made.done();
  return made;
}

TEST(Learn, CountsConfirmedFaultsOnceAGraft) {
  const ConfirmedFault open{FaultKind::wire_open, "wire_open w1"};
  const FaultCounts counts =
      count_faults({{open, open},
                    {{FaultKind::wire_open, "wire_open w9"}, {FaultKind::swapped_wires, "swapped C1:3 C1:4"}},
                    {}});
  EXPECT_EQ(counts.grafts, 2);
  EXPECT_EQ(counts.found.at(FaultKind::wire_open), 2);
  EXPECT_EQ(counts.found.at(FaultKind::swapped_wires), 1);
  EXPECT_EQ(counts.found.size(), 2U);
}

TEST(ConfirmedFaults, AreReadFromTheTicksThatKeepThem) {
  const MadeUpProof made = two_kinds();
  for (const Fault& fault : made.proof.report.faults)
    EXPECT_EQ(confirmed_fault_in(tick_subject_of(fault)), (ConfirmedFault{fault.kind, fault.id}));
  // As the page writes them, and graft files of earlier versions keep them.
  EXPECT_EQ(confirmed_fault_in("fault:swapped_wires:swapped C1:3 C1:4"),
            (ConfirmedFault{FaultKind::swapped_wires, "swapped C1:3 C1:4"}));
  for (const char* other : {"step 7", "fault:", "fault:wire_open", "fault:no such kind:w1"})
    EXPECT_EQ(confirmed_fault_in(other), std::nullopt) << other;
}

// Dirichlet: (weight * table share + count) / (weight + all counts), by hand for ten wires and no swap.
TEST(Learn, CountsShiftTheTableAsPseudoCountsDo) {
  const MadeUpProof made = two_kinds();
  FaultCounts counts;
  counts.found[FaultKind::wire_open] = 10;
  counts.found[FaultKind::mirrored_plug] = 50;  // a kind that this loom cannot have
  counts.grafts = 4;
  const LearntOdds learnt = learnt_odds(made.proof.report.faults, counts);
  const double weight = find_figures().table_weight;
  EXPECT_NEAR(learnt.odds[0] + learnt.odds[1], (weight * 0.3 + 10.0) / (weight + 10.0), 1e-12);
  EXPECT_NEAR(learnt.odds[1] / learnt.odds[0], 2.0, 1e-12) << "within a kind nothing changes";
  EXPECT_NEAR(std::accumulate(learnt.odds.begin(), learnt.odds.end(), 0.0), 1.0, 1e-12);
  ASSERT_THAT(learnt.text, SizeIs(1));
  EXPECT_THAT(learnt.text[0], HasSubstr("10 of 10 faults confirmed in 4 recorded grafts"));
  EXPECT_THAT(learnt.text[0], HasSubstr("instead of 30 %"));
}

TEST(Learn, CanBeTurnedOff) {
  const MadeUpProof made = two_kinds();
  FindOptions options;
  options.pairs = false;
  const FindReport plain = find_fault(made.proof, {samples::reading_of("t", 1.0)}, options);
  EXPECT_NEAR(plain.repairs[0].odds, 0.7, 0.02);
  EXPECT_TRUE(plain.learnt.empty());
  options.learnt = FaultCounts{{{FaultKind::wire_open, 1000}}, 500};
  const FindReport taught = find_fault(made.proof, {samples::reading_of("t", 1.0)}, options);
  EXPECT_EQ(taught.repairs[0].repair, "mend w2");
  EXPECT_THAT(taught.learnt, SizeIs(1));
}

TEST(Practice, ShowsThePlantedFaultAndFindIsolatesIt) {
  const MadeUpProof made = samples::chain({1.0, 1.0, 1.0, 1.0, 1.0});
  for (std::size_t planted = 0; planted < 5; ++planted) {
    const std::vector<Reading> readings = practice_readings(made.proof, made.proof.report.faults[planted].id);
    ASSERT_EQ(readings.size(), made.proof.report.tests.size());
    const FindReport report = find_fault(made.proof, readings);
    ASSERT_TRUE(report.isolated.has_value()) << planted;
    EXPECT_EQ(report.repairs[*report.isolated].faults[0], planted);
  }
}

TEST(Practice, ASoundLoomShowsNominalValuesAndOverRange) {
  MadeUpProof made;
  made.add_fault("f", 1.0);
  const double open_end = std::numeric_limits<double>::infinity();
  made.add_test("volts", {11.0, 14.0}, {{0.0, 1.0}});
  made.add_test("apart", {over_range_ohms, open_end}, {{0.0, 0.5}}, 1.0, 0, "ohm");
  const Proof& proof = made.done();
  const std::vector<Reading> well = practice_readings(proof, "");
  EXPECT_EQ(well[0].value, 12.5);
  EXPECT_EQ(well[1].value, over_range_reading);
  const std::vector<Reading> ill = practice_readings(proof, "f");
  EXPECT_EQ(ill[0].value, 0.5);
  EXPECT_EQ(ill[1].value, 0.25);
  EXPECT_TRUE(practice_readings(proof, "no such fault").empty());
}

}  // namespace
}  // namespace loomgraft::find_learn_test
