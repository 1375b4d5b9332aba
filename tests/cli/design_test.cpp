// `design` and `draw fuse` on the demo, whose three faults they must find.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/cli/program.h"

namespace loomgraft::cli_design_test {
namespace {

using Json = nlohmann::json;
using ::testing::HasSubstr;

const std::string demo = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json";

const Json* circuit_of(const Json& report, const std::string& id) {
  for (const Json& circuit : report["circuits"]) {
    if (circuit["id"] == id) return &circuit;
  }
  return nullptr;
}

bool fails(const Json& circuit, const std::string& kind) {
  for (const Json& check : circuit["checks"]) {
    if (check["check"] == kind && check["passes"] == false) return true;
  }
  return false;
}

bool mended_by(const Json& circuit, const std::string& kind) {
  for (const Json& remedy : circuit["remedies"]) {
    if (remedy["remedy"] == kind && remedy["passes"] == true) return true;
  }
  return false;
}

TEST(DesignCommand, FindsTheThreeFaultsOfTheDemo) {
  const ProgramRun run = run_program("design " + demo + " --json");
  EXPECT_EQ(run.status, 1);
  const Json report = Json::parse(run.out, nullptr, false);
  ASSERT_FALSE(report.is_discarded());
  const Json* valve = circuit_of(report, "Y20");
  const Json* clutch = circuit_of(report, "S22");
  const Json* throttle = circuit_of(report, "B20");
  ASSERT_TRUE(valve && clutch && throttle);
  EXPECT_TRUE(fails(*valve, "driver_current"));
  EXPECT_TRUE(mended_by(*valve, "relay"));
  EXPECT_TRUE(fails(*clutch, "pull_in"));
  EXPECT_TRUE(fails(*throttle, "earth_offset"));
  EXPECT_TRUE(mended_by(*throttle, "separate_earth"));
  EXPECT_TRUE(report["back_feeds"].empty());
}

TEST(DesignCommand, ALargerWireLetsTheClutchPullIn) {
  const ProgramRun run = run_program("design " + demo + " --what n_s22_2.area_mm2=2.5 --json");
  const Json report = Json::parse(run.out, nullptr, false);
  ASSERT_FALSE(report.is_discarded());
  bool cured = false;
  for (const Json& change : report["checks"]) {
    if (change["before"].is_null() || change["after"].is_null()) continue;
    const bool pull_in = change["after"]["check"] == "pull_in" && change["after"]["subject"] == "Y21";
    cured = cured || (pull_in && change["before"]["passes"] == false && change["after"]["passes"] == true);
  }
  EXPECT_TRUE(cured);
}

TEST(DesignCommand, TellsWhatItDoesNotKnow) {
  EXPECT_EQ(run_program("design " + demo + " --circuit nothing").status, 2);
  EXPECT_EQ(run_program("design " + demo + " --what nothing.length_mm=3").status, 2);
  EXPECT_EQ(run_program("design /nowhere.json").status, 2);
}

TEST(DrawFuseCommand, DrawsAFuseThatIsTooLarge) {
  const std::string file = ::testing::TempDir() + "fuse.svg";
  EXPECT_EQ(run_program("draw fuse " + demo + " --wire n_s22_2 -o " + file).status, 1);
  EXPECT_THAT(run_program("draw fuse " + demo + " --wire nothing -o " + file).out,
              HasSubstr("no added wire"));
}

}  // namespace
}  // namespace loomgraft::cli_design_test
