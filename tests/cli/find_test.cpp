// `find` as its users call it, on a heater behind a fuse.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "loom/graft_json.h"
#include "store/graft_file.h"
#include "tests/cli/program.h"
#include "tests/network/small_loom.h"

namespace loomgraft::cli_find_test {
namespace {

using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class FindCommand : public ::testing::Test {
 protected:
  void SetUp() override {
    const ::testing::TestInfo* info = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = std::filesystem::path(LOOMGRAFT_BUILD) / "find_command" / info->name();
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
    write(samples::heater_loom());
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::string graft() const { return (folder_ / "heater.json").string(); }
  void write(const Graft& graft_to_write) const { std::ofstream(graft()) << write_graft(graft_to_write); }
  ProgramRun find(const std::string& arguments) const {
    return run_program("find " + graft() + " --whole " + arguments);
  }
  Json find_json(const std::string& arguments) const {
    return Json::parse(find(arguments + " --json").out, nullptr, false);
  }
  Json prove_json() const {
    return Json::parse(run_program("prove " + graft() + " --whole --json").out, nullptr, false);
  }
  std::string fault_of_kind(const std::string& kind) const {
    const Json faults = prove_json()["faults"];
    for (const Json& fault : faults) {
      if (fault["kind"] == kind) return fault["id"];
    }
    return {};
  }

  std::filesystem::path folder_;
};

std::string as_arguments(const Json& readings) {
  std::string arguments;
  for (const Json& reading : readings) {
    arguments += " --reading '" + reading["test"].get<std::string>() + "=" +
                 std::to_string(reading["value"].get<double>()) + "'";
  }
  return arguments;
}

TEST_F(FindCommand, IsolatesWhatWasPlanted) {
  const std::string fault = fault_of_kind("blown_fuse");
  ASSERT_FALSE(fault.empty());
  const Json shown = find_json("--as-if '" + fault + "'");
  ASSERT_TRUE(shown.contains("readings")) << shown;
  EXPECT_EQ(shown["fault"], fault);
  const ProgramRun text = find(as_arguments(shown["readings"]));
  EXPECT_EQ(text.status, 1);
  EXPECT_THAT(text.out, HasSubstr("Excluded faults"));
  const Json report = find_json(as_arguments(shown["readings"]));
  ASSERT_FALSE(report["repairs"].empty()) << report;
  EXPECT_EQ(report["repairs"][0]["faults"][0], fault);
  EXPECT_LT(report["no_fault"], 0.01);
}

TEST_F(FindCommand, ASoundLoomIsCalledWell) {
  const Json steps = prove_json();
  std::string arguments;
  for (std::size_t step = 1; step <= steps["plan"].size(); ++step) {
    for (const Json& test : steps["tests"]) {
      if (test["id"] != steps["plan"][step - 1]) continue;
      const bool over = test["band"]["high"].is_null() && test["band"]["unit"] == "ohm";
      const std::string value = over ? "over" : std::to_string(test["nominal"].get<double>());
      arguments += " --reading " + std::to_string(step) + "=" + value;
    }
  }
  const ProgramRun sound = find(arguments);
  EXPECT_THAT(sound.out, HasSubstr("nothing is wrong"));
  EXPECT_GT(find_json(arguments)["no_fault"], 0.6);
}

TEST_F(FindCommand, ProposesTheNextMeasurementWithItsPlaces) {
  const ProgramRun run = find("--reading 1=over");
  EXPECT_EQ(run.status, 1);
  EXPECT_THAT(run.out, HasSubstr("Measure next"));
  EXPECT_THAT(run.out, HasSubstr("Red: "));
  EXPECT_THAT(run.out, HasSubstr("Black: "));
  EXPECT_THAT(run.out, HasSubstr("a sound loom shows"));
}

TEST_F(FindCommand, UnitsMayStandOrFallAway) {
  const Json tests = prove_json()["tests"];
  const auto odds = [&](const std::string& reading) { return find_json("--reading " + reading)["no_fault"]; };
  std::string volts, ohms;
  for (const Json& test : tests) {
    if (test["band"]["unit"] == "V" && volts.empty()) volts = "'" + test["id"].get<std::string>() + "=";
    if (test["band"]["unit"] == "ohm" && ohms.empty()) ohms = "'" + test["id"].get<std::string>() + "=";
  }
  EXPECT_EQ(odds(volts + "12.1V'"), odds(volts + "12.1'"));
  EXPECT_EQ(odds(volts + "12100mV'"), odds(volts + "12.1'"));
  EXPECT_EQ(odds(ohms + "1.2kohm'"), odds(ohms + "1200'"));
  EXPECT_EQ(odds(ohms + "OL'"), odds(ohms + "over'"));
  EXPECT_EQ(find("--reading " + ohms + "12V'").status, 2);
}

TEST_F(FindCommand, RefusesWhatIsNoReading) {
  for (const char* reading : {"1", "999=2", "1=many", "nowhere:ohm=2"}) {
    const ProgramRun run = find(std::string("--reading ") + reading);
    EXPECT_EQ(run.status, 2) << reading;
    EXPECT_THAT(run.out, HasSubstr("7=over")) << reading;
  }
  EXPECT_EQ(find("--as-if 'no such fault'").status, 2);
  EXPECT_EQ(run_program("find nowhere.json").status, 2);
}

TEST_F(FindCommand, TheReadingsOfTheDocumentCountUntilOthersAreGiven) {
  Graft graft = samples::heater_loom();
  const nlohmann::ordered_json proof = prove_json();
  const auto first_of_ohms = std::ranges::find_if(proof["plan"], [&](const auto& step) {
    return std::ranges::any_of(proof["tests"], [&](const auto& test) {
      return test["id"] == step && test["band"]["unit"] == "ohm" && test["nominal"] < 0.2;
    });
  });
  const std::string test = *first_of_ohms;
  const double plain = find_json("")["no_fault"];
  graft.readings.push_back({"r1", test, 1e9, "ohm", "", "2026-03-01T10:00:00Z"});
  write(graft);
  EXPECT_LT(find_json("")["no_fault"], plain);
  EXPECT_GE(find_json("--reading " + test + "=0.05")["no_fault"], plain);
}

TEST_F(FindCommand, LearnsFromTheFolder) {
  const std::string learnt = (folder_ / "learnt").string();
  std::filesystem::create_directories(learnt);
  {
    auto file = GraftFile::create(learnt + "/other.graft", samples::heater_loom(),
                                  {"A. Tester", "2026-03-01T10:00:00Z", "for a test"});
    ASSERT_TRUE(file.has_value());
    ASSERT_TRUE(file->append(
        Tick{"t1", "fault:blown_fuse:blown_fuse F1", true, "A. Tester", "2026-03-01T10:00:00Z"}));
    ASSERT_TRUE(
        file->append(Tick{"t2", "fault:wire_open:wire_open w1", true, "A. Tester", "2026-03-01T10:00:00Z"}));
    ASSERT_TRUE(
        file->append(Tick{"t3", "fault:wire_open:wire_open w1", false, "A. Tester", "2026-03-01T10:01:00Z"}));
  }
  const ProgramRun run = find("--learn " + learnt);
  EXPECT_THAT(run.out, HasSubstr("1 of 1 faults confirmed in 1 recorded graft"));
  EXPECT_THAT(find("").out, Not(HasSubstr("learnt:")));
  EXPECT_EQ(find("--learn " + learnt + "/nowhere").status, 2);
}

TEST_F(FindCommand, HelpHasAnExample) {
  EXPECT_THAT(run_program("find --help").out, HasSubstr("Example: loomgraft find"));
}

}  // namespace
}  // namespace loomgraft::cli_find_test
