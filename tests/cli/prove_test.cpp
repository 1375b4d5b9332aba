// `prove` and `draw matrix` on the demo.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "tests/cli/program.h"

namespace loomgraft::cli_prove_test {
namespace {

using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::StartsWith;

const std::string demo = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json";

const Json& demo_proof() {
  static const Json report = Json::parse(run_program("prove " + demo + " --json").out, nullptr, false);
  return report;
}

TEST(ProveCommand, GivesEveryMemberOfTheReport) {
  const Json& report = demo_proof();
  ASSERT_FALSE(report.is_discarded());
  for (const char* member : {"tests", "plan", "steps", "curve", "budget", "plan_minutes", "bound_minutes",
                             "optimal", "unexposed", "joint_ohms", "matrix", "conditions", "faults",
                             "over_range_ohm", "refused", "assumptions", "problems"})
    EXPECT_TRUE(report.contains(member)) << member;
  for (const char* member : {"id", "kind", "condition", "red", "black", "red_at", "black_at", "clamp",
                             "setting", "nominal", "band", "minutes", "exposes", "text"})
    EXPECT_TRUE(report["tests"][0].contains(member)) << member;
  for (const char* member :
       {"id", "text", "live", "minutes", "unplugged", "removed", "key", "battery_off", "jumpers", "cautions"})
    EXPECT_TRUE(report["conditions"][0].contains(member)) << member;
}

TEST(ProveCommand, PlanOfTheDemoExposesAllButAFewAndStaysByItsBound) {
  const Json& report = demo_proof();
  ASSERT_FALSE(report.is_discarded());
  EXPECT_LE(report["bound_minutes"].get<double>(), report["plan_minutes"].get<double>() + 1e-6);
  EXPECT_LE(report["plan_minutes"].get<double>(), 1.35 * report["bound_minutes"].get<double>());
  EXPECT_LT(report["unexposed"].size(), report["faults"].size() / 10);
  for (const Json& one : report["unexposed"]) EXPECT_FALSE(one["remedy"].get<std::string>().empty());
}

// The whole plan, and what it has shown when somebody stops early.
TEST(ProveCommand, WhoeverStopsEarlyStopsWell) {
  const Json& report = demo_proof();
  ASSERT_FALSE(report.is_discarded());
  const Json& curve = report["curve"];
  ASSERT_EQ(curve.size(), report["plan"].size() + 1);
  const auto unproved = [&](double minutes) {
    double left = 1.0;
    for (const Json& point : curve) {
      if (point["minutes"].get<double>() <= minutes) left = point["unproved"].get<double>();
    }
    return left;
  };
  EXPECT_LT(unproved(30.0), 0.65);
  EXPECT_LT(unproved(60.0), 0.35);
  EXPECT_NEAR(curve.back()["minutes"].get<double>(), report["plan_minutes"].get<double>(), 1e-6);
  for (const Json& step : report["steps"]) {
    double sum = 0.0;
    for (const char* part : {"setup", "access", "travel", "probes", "reading"})
      sum += step[part].get<double>();
    EXPECT_NEAR(step["minutes"].get<double>(), sum, 1e-6);
  }
}

TEST(ProveCommand, PlansForTheTimeAtHand) {
  const Json report = Json::parse(run_program("prove " + demo + " --minutes 40 --json").out, nullptr, false);
  ASSERT_FALSE(report.is_discarded());
  EXPECT_LE(report["plan_minutes"].get<double>(), 40.0 + 1e-6);
  EXPECT_GE(report["budget"]["shown"].get<double>(), 0.5);
  EXPECT_LE(report["budget"]["shown"].get<double>(), report["budget"]["bound"].get<double>() + 1e-9);
  EXPECT_EQ(run_program("prove " + demo + " --minutes -3").status, 2);
}

TEST(ProveCommand, DeadTestsComeFirst) {
  const Json& report = demo_proof();
  ASSERT_FALSE(report.is_discarded());
  std::set<std::string> live;
  for (const Json& state : report["conditions"]) {
    if (state["live"]) live.insert(state["id"].get<std::string>());
  }
  bool powered = false;
  for (const Json& id : report["plan"]) {
    const auto test = std::ranges::find(report["tests"], id, [](const Json& item) { return item["id"]; });
    ASSERT_NE(test, report["tests"].end());
    const bool now = live.contains((*test)["condition"].get<std::string>());
    EXPECT_FALSE(powered && !now);
    powered = now;
  }
  EXPECT_TRUE(powered);
}

TEST(ProveCommand, PrintsStepsAndTables) {
  const ProgramRun text = run_program("prove " + demo);
  EXPECT_THAT(text.out, HasSubstr("Battery off"));
  EXPECT_THAT(text.out, HasSubstr("must show"));
  EXPECT_THAT(text.out, HasSubstr("mating face"));
  const ProgramRun table = run_program("prove " + demo + " --csv --meter fine");
  EXPECT_THAT(table.out, StartsWith("step,test,condition,kind,red,black"));
}

TEST(ProveCommand, SaysWhatItCannotUse) {
  EXPECT_EQ(run_program("prove no-such-file.json").status, 2);
  const ProgramRun meter = run_program("prove " + demo + " --meter nose");
  EXPECT_EQ(meter.status, 2);
  EXPECT_THAT(meter.out, HasSubstr("handheld"));
  EXPECT_THAT(run_program("prove --help").out, HasSubstr("Example:"));
}

TEST(DrawMatrixCommand, WritesASheet) {
  const std::string file = std::string(LOOMGRAFT_BUILD) + "/matrix-test.svg";
  const ProgramRun run = run_program("draw matrix " + demo + " -o " + file);
  EXPECT_EQ(run.status, 0);
  std::stringstream text;
  text << std::ifstream(file).rdbuf();
  EXPECT_THAT(text.str(), StartsWith("<svg"));
  EXPECT_THAT(text.str(), HasSubstr("dead-open"));
  EXPECT_THAT(text.str(), HasSubstr("no test"));
  std::filesystem::remove(file);
}

}  // namespace
}  // namespace loomgraft::cli_prove_test
