// Pairs of tables written by others, against what a person says of them. Skipped where the folder is absent.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <map>
#include <set>
#include <sstream>

#include "compare/compare.h"
#include "tests/compare/graft_of_tables.h"

namespace loomgraft::compare_real_comparisons_test {
namespace {

std::string folder() {
  const char* chosen = std::getenv("LOOMGRAFT_REAL");
  return chosen != nullptr ? chosen : LOOMGRAFT_ROOT "/../shared/real";
}

using Cavities = std::set<std::string>;

Cavities split(const std::string& text, char mark) {
  Cavities parts;
  std::istringstream stream(text);
  for (std::string part; std::getline(stream, part, mark);) parts.insert(part);
  return parts;
}

struct Answer {
  std::string view, item, a, b, verdict;
};

std::vector<Answer> answers_in(const std::string& file) {
  std::vector<Answer> answers;
  std::istringstream text(content_of(folder() + "/expected/" + file));
  for (std::string line; std::getline(text, line);) {
    std::istringstream cells(line);
    Answer answer;
    for (std::string* field : {&answer.view, &answer.item, &answer.a, &answer.b, &answer.verdict})
      std::getline(cells, *field, ',');
    answers.push_back(answer);
  }
  return answers;
}

struct Outcome {
  std::map<std::string, std::string> donor_of;  // of circuits that stay or move
  Cavities added, unpaired;                     // donor's and found cavities
};

Outcome compared(const TableFile& found, const TableFile& donor) {
  const std::string pins = folder() + "/pins/";
  const Graft graft = graft_of_tables({{pins + found.path, found.name}}, {{pins + donor.path, donor.name}});
  Outcome outcome;
  for (const CircuitReport& c : compare_modules(graft, "found", "donor").circuits) {
    if (c.verdict == Verdict::keep || c.verdict == Verdict::shift)
      outcome.donor_of[c.found->cavity] = c.donor->cavity;
    if (c.verdict == Verdict::add) outcome.added.insert(c.donor->cavity);
    if (c.found && (c.verdict == Verdict::retire || (c.verdict == Verdict::clash && !c.donor)))
      outcome.unpaired.insert(c.found->cavity);
  }
  return outcome;
}

// By signal: what moved or stayed is found there, what is gone or new is paired with nothing.
void check_signals(const std::string& file, const Outcome& outcome, const Cavities& left_out = {}) {
  int checked = 0;
  for (const Answer& answer : answers_in(file)) {
    if (answer.view != "signal" || left_out.contains(answer.item)) continue;
    const Cavities donor = split(answer.b, ';');
    for (const std::string& cavity : split(answer.a, ';')) {
      if (answer.verdict == "removed") {
        EXPECT_TRUE(outcome.unpaired.contains(cavity)) << file << " " << answer.item;
      } else {
        ASSERT_TRUE(outcome.donor_of.contains(cavity)) << file << " " << answer.item;
        EXPECT_TRUE(donor.contains(outcome.donor_of.at(cavity))) << file << " " << answer.item;
      }
      ++checked;
    }
    if (answer.verdict == "added") {
      for (const std::string& cavity : donor) EXPECT_TRUE(outcome.added.contains(cavity)) << answer.item;
    }
  }
  EXPECT_GT(checked, 5) << file;
}

class RealComparisons : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!std::filesystem::exists(folder() + "/pins")) GTEST_SKIP() << "no folder " << folder();
  }
};

TEST_F(RealComparisons, AControllersTwoGenerations) {
  const std::string file = "gevcu_pinout_table_b20fa12.txt";
  // One of five feeds stays, and earths are compared as a set: what the two generations call them differs.
  check_signals("expected_P01_gevcu2_vs_gevcu4.csv", compared({file, "GEVCU 2"}, {file, "GEVCU 4"}),
                {"+12V Out (regulated)", "EXT GND", "EXT GND (Chassis/Batt-)", "GND (not external GND)"});
}

TEST_F(RealComparisons, OnePlugReplacedByAnother) {
  check_signals(
      "expected_P02_tesla_x437_vs_x437a.csv",
      compared({"ovms_Connector_TeslaModelS_X437.txt", ""}, {"ovms_Connector_TeslaModelS_X437A.txt", ""}));
}

TEST_F(RealComparisons, BusesNumberedAsEachMakerLikes) {
  const Outcome outcome =
      compared({"ovms_Connector_TeslaRoadster.txt", ""}, {"ovms_Connector_TeslaModelS_X437.txt", ""});
  const Cavities collisions{"CAN2-H", "CAN2-L", "CAN4-H", "CAN4-L"};
  check_signals("expected_P03_tesla_roadster_vs_models_x437.csv", outcome, collisions);
  for (const char* cavity : {"2", "7", "5", "12"})
    EXPECT_TRUE(outcome.unpaired.contains(cavity)) << cavity << ": one number, two networks";
}

TEST_F(RealComparisons, APlugRenumbered) {
  check_signals("expected_P08_8chanC_cc71f06_vs_d25a0ef.csv",
                compared({"fome_8chan-C_cc71f06.yaml", ""}, {"fome_8chan-C_d25a0ef.yaml", ""}));
}

TEST_F(RealComparisons, ATableCorrectedLater) {
  const Outcome outcome = compared({"fome_harley81_57f2b65.yaml", ""}, {"fome_harley81_a2ea8b9.yaml", ""});
  int stay = 0;
  for (const Answer& answer : answers_in("expected_P12_harley81_57f2b65_vs_a2ea8b9.csv")) {
    const auto pair = outcome.donor_of.find(answer.item);
    const std::string donor = pair == outcome.donor_of.end() ? "none" : pair->second;
    if (answer.verdict == "same" || answer.verdict == "wording") {
      ++stay;
      EXPECT_EQ(donor, answer.item) << answer.a;
    } else if (answer.verdict == "added") {
      EXPECT_TRUE(outcome.added.contains(answer.item)) << answer.b;
    } else if (answer.verdict == "changed") {
      EXPECT_EQ(donor, "none") << answer.a << " is a question, not a circuit that stays";
    }
  }
  EXPECT_GT(stay, 30);
}

}  // namespace
}  // namespace loomgraft::compare_real_comparisons_test
