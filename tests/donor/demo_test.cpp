// The invented van of examples/power-takeoff, row by row against the answer that was written by hand.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "donor/rank.h"
#include "tests/compare/graft_of_tables.h"

namespace loomgraft::donor_demo_test {
namespace {

const std::string folder = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/";

CompareReport demo_report() {
  const Graft graft = graft_of_tables({{folder + "found-manual.csv", ""}, {folder + "found-forum.md", ""}},
                                      {{folder + "donor.txt", ""}});
  return compare_modules(graft, "found", "donor");
}

using Row = std::map<std::string, std::string>;

// The answer has one cell with commas, in quotes and last; what is compared stands before it.
std::vector<Row> expected_rows() {
  std::istringstream text(content_of(folder + "expected.csv"));
  std::vector<Row> rows;
  std::vector<std::string> heads;
  for (std::string line; std::getline(text, line);) {
    std::istringstream cells(line);
    std::vector<std::string> fields;
    for (std::string field; std::getline(cells, field, ',');) fields.push_back(field);
    fields.resize(std::max<std::size_t>(fields.size(), 8));
    if (heads.empty()) {
      heads = fields;
      continue;
    }
    Row row;
    for (std::size_t i = 0; i < heads.size(); ++i) row[heads[i]] = fields[i];
    rows.push_back(row);
  }
  return rows;
}

std::string line_of(const std::string& verdict, const std::string& found, const std::string& donor,
                    const std::string& hazard) {
  return verdict + " " + found + " " + donor + " " + hazard;
}

std::string place(const std::optional<PinName>& pin) {
  return pin ? pin->connector + "-" + pin->cavity : "-";
}

// A clash is listed with the donor's pin that the wire would meet.
std::string line_of(const CircuitReport& circuit) {
  const bool meets = circuit.verdict == Verdict::clash && !circuit.donor;
  return line_of(name_of(circuit.verdict), place(circuit.found), place(meets ? circuit.meets : circuit.donor),
                 name_of(circuit.hazard.grade));
}

TEST(Demo, EveryVerdictIsAsExpected) {
  const CompareReport report = demo_report();
  std::vector<std::string> found, wanted;
  for (const CircuitReport& circuit : report.circuits) found.push_back(line_of(circuit));
  for (Row& row : expected_rows()) {
    wanted.push_back(line_of(row["verdict"], row["found_connector"] + "-" + row["found_cavity"],
                             row["donor_connector"] + "-" + row["donor_cavity"],
                             row["hazard"].empty() ? "harmless" : row["hazard"]));
  }
  ASSERT_EQ(wanted.size(), 87U) << "68 stay, 5 move, 10 are new, 2 go, 2 clash";
  std::sort(found.begin(), found.end());
  std::sort(wanted.begin(), wanted.end());
  EXPECT_EQ(found, wanted);
}

TEST(Demo, EveryVerdictIsConfident) {
  const CompareReport report = demo_report();
  for (const CircuitReport& circuit : report.circuits) {
    EXPECT_GE(circuit.confidence, 0.6) << circuit.signal;
    EXPECT_FALSE(circuit.hazard.assumed) << circuit.signal;
  }
}

TEST(Demo, CircuitsSharedWithTheGearboxAreFoundInTheTables) {
  std::vector<std::string> shared;
  for (const TagFinding& tag : demo_report().tags) {
    if (tag.what == "shared circuit") shared.push_back(tag.found + " / " + tag.donor);
  }
  EXPECT_EQ(shared, (std::vector<std::string>{"eng. speed output / ENGINE SPEED OUTPUT",
                                              "throttle signal output / TP OUTPUT"}));
}

TEST(Demo, AMeasurementSettlesSourcesThatDisagree) {
  const CompareReport report = demo_report();
  const auto asked = std::ranges::find_if(report.questions, [](const Question& one) {
    return one.about.connector == "C3" && one.about.cavity == "2";
  });
  ASSERT_NE(asked, report.questions.end());
  ASSERT_TRUE(asked->measure);
  EXPECT_TRUE(asked->measure->conclusive);
  EXPECT_NE(asked->measure->instruction.find("red lead on cavity C3-2"), std::string::npos);
  ASSERT_EQ(asked->measure->bands.size(), 2U);
  for (const ClaimBand& band : asked->measure->bands) {
    EXPECT_EQ(band.claims.size(), 1U);
    EXPECT_NE(asked->answer_by.find(band.shows), std::string::npos) << asked->answer_by;
  }
  EXPECT_EQ(asked->answer_by.find('/'), std::string::npos)
      << "a file's folder says nothing: " << asked->answer_by;
}

// A pulled-down line stays some microvolts above earth; people read 0 V.
TEST(Demo, VoltagesBelowTheLastDigitOfAMeterAreShownAsZero) {
  const CompareReport report = demo_report();
  int zeros = 0;
  for (const CircuitReport& circuit : report.circuits) {
    EXPECT_EQ(circuit.hazard.reason.find(" µV"), std::string::npos) << circuit.hazard.reason;
    zeros += circuit.hazard.reason.find(" 0 V") != std::string::npos ? 1 : 0;
  }
  EXPECT_GT(zeros, 0);
}

TEST(Demo, ARankingCountsTheHazardsOfTheComparison) {
  const Graft graft = graft_of_tables({{folder + "found-manual.csv", ""}, {folder + "found-forum.md", ""}},
                                      {{folder + "donor.txt", ""}});
  KeyTable keys;
  DonorLibrary library(keys);
  library.add_with_pins(*find_module(graft, "donor"), graft.connectors);
  const RankReport ranked = rank(*find_module(graft, "found"), graft, keys, library);
  ASSERT_EQ(ranked.donors.size(), 1u);
  const auto shown = [report = compare_modules(graft, "found", "donor")](Grade grade) {
    return std::ranges::count_if(report.circuits,
                                 [&](const CircuitReport& one) { return one.hazard.grade == grade; });
  };
  EXPECT_EQ(ranked.donors[0].fire, shown(Grade::fire));
  EXPECT_EQ(ranked.donors[0].damage, shown(Grade::damage));
  EXPECT_EQ(ranked.donors[0].false_signal, shown(Grade::false_signal));
  EXPECT_GT(shown(Grade::false_signal), 0);
}

}  // namespace
}  // namespace loomgraft::donor_demo_test
