// `solve` and `netlist` as their users call them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/network/ngspice.h"

namespace loomgraft::cli_network_test {
namespace {

using Json = nlohmann::json;
using ::testing::HasSubstr;

struct Outcome {
  int status = -1;
  std::string out;
};

const std::string demo = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json";

Outcome run(const std::string& arguments) {
  const std::string command = std::string(LOOMGRAFT_BUILD) + "/loomgraft " + arguments + " 2>&1";
  Outcome outcome;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    outcome.out.append(buffer.data(), n);
  const int status = pclose(pipe);
  outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return outcome;
}

TEST(SolveCommand, PrintsTheDemo) {
  const Outcome outcome = run("solve " + demo + " --condition key=on");
  EXPECT_THAT(outcome.out, HasSubstr("Relays"));
  EXPECT_THAT(outcome.out, HasSubstr("main relay"));
  EXPECT_NE(outcome.status, 2);
}

TEST(SolveCommand, ConditionsDecide) {
  const auto position = [](const std::string& condition) {
    const Outcome outcome = run("solve " + demo + " --json --condition '" + condition + "'");
    const Json report = Json::parse(outcome.out, nullptr, false);
    for (const Json& relay : report.value("relays", Json::array())) {
      if (relay["device"] == "K1") return relay["position"].get<std::string>();
    }
    return std::string("none");
  };
  EXPECT_EQ(position("on"), "at rest");
  EXPECT_EQ(position("PTO engaged"), "pulled in");
}

TEST(SolveCommand, RefusesAConditionThatSaysNothing) {
  for (const char* text : {"whenever", "key=sideways", "drive=C1", "supply=much", ",", "work="}) {
    const Outcome outcome = run("solve " + demo + " --condition " + text);
    EXPECT_EQ(outcome.status, 2) << text;
    EXPECT_THAT(outcome.out, HasSubstr("says nothing")) << text;
  }
  EXPECT_EQ(run("solve " + demo + " --corner sharp").status, 2);
  EXPECT_EQ(run("solve no-such-file.json").status, 2);
}

TEST(SolveCommand, TellsWhichAssumptionMatters) {
  const Outcome outcome = run("solve " + demo + " --condition 'PTO engaged' --watch Y20:1");
  EXPECT_EQ(outcome.status, 0) << outcome.out;
  EXPECT_THAT(outcome.out, HasSubstr("n_y20_1"));
  EXPECT_EQ(run("solve " + demo + " --watch nothing:1").status, 2);
}

TEST(SolveCommand, CsvHasALineForEachBranch) {
  const Outcome outcome = run("solve " + demo + " --csv 2>/dev/null");
  EXPECT_THAT(outcome.out, HasSubstr("kind,subject,name,from,to"));
  EXPECT_THAT(outcome.out, HasSubstr("\nwire,"));
}

TEST(NetlistCommand, RunsInNgspiceUnchanged) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  const Outcome deck = run("netlist " + demo + " --condition 'PTO engaged' 2>/dev/null");
  ASSERT_EQ(deck.status, 0);
  EXPECT_THAT(deck.out, HasSubstr("is battery +"));
  const Outcome report = run("solve " + demo + " --condition 'PTO engaged' --json 2>/dev/null");
  const Json solved = Json::parse(report.out, nullptr, false);
  ASSERT_FALSE(solved.is_discarded());
  const auto count = static_cast<std::uint32_t>(solved["nodes"].size());
  const auto volts = reference::ngspice_volts(deck.out, count);
  ASSERT_EQ(volts.size(), count);
  for (std::uint32_t k = 1; k < count; ++k) {
    const double ours = solved["nodes"][k]["volts_v"];
    EXPECT_NEAR(ours, volts[k], 1e-6 + 1e-6 * std::abs(ours)) << solved["nodes"][k]["name"];
  }
}

}  // namespace
}  // namespace loomgraft::cli_network_test
