// The attached meter through the API: set for a step, read, zeroed, and never at ohms where there may be power.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>

#include "tests/instrument/socket_meter.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_meter_test {
namespace {

using std::chrono::milliseconds;

struct MeteredBench {
  MeteredBench() : bench(options()) { bench.make_demo(); }

  ServeOptions options() const {
    ServeOptions made;
    made.meter = *read_meter_address(line.address());
    made.meter_timing = {milliseconds(500), milliseconds(2), milliseconds(20), milliseconds(40)};
    return made;
  }

  // The first step of the plan in that unit.
  std::string step_in(const std::string& unit) {
    // 202 while it is being computed.
    while (!proof.contains("tests")) {
      const auto answer = bench.client->Get("/api/grafts/demo/reports/prove");
      if (!answer || (answer->status != 200 && answer->status != 202)) return "";
      proof = Json::parse(answer->body);
    }
    for (const Json& test : proof["tests"])
      if (test["band"]["unit"] == unit) return test["id"];
    return "";
  }

  Json set(const std::string& test, int status = 200, const std::string& page = "p1") {
    return bench.post("/api/meter", {{"page", page}, {"graft", "demo"}, {"test", test}}, status);
  }

  template <class Condition>
  Json until(Condition condition) {
    const auto last = std::chrono::steady_clock::now() + std::chrono::seconds(20);
    Json state = bench.get("/api/meter");
    while (!condition(state) && std::chrono::steady_clock::now() < last) state = bench.get("/api/meter");
    EXPECT_TRUE(condition(state)) << state;
    return state;
  }

  bool heard(const std::string& beginning) const {
    const auto commands = line.meter.heard();
    return std::any_of(commands.begin(), commands.end(),
                       [&](const std::string& command) { return command.starts_with(beginning); });
  }

  SocketMeter line;
  Bench bench;
  Json proof = Json::object();
};

Json zero(Bench& bench, int status) {
  return Bench::json_of(bench.client->Post("/api/meter/zero"), "zero", status);
}

const auto is_steady = [](const Json& state) { return state["steady"] == true; };

TEST(Meter, WithoutOneTheStateSaysSo) {
  Bench bench;
  const Json state = bench.get("/api/meter");
  EXPECT_EQ(state["attached"], false);
  EXPECT_EQ(state["state"], "none");
  EXPECT_EQ(code_of(bench.post("/api/meter", {{"page", "p1"}}, 409)), "no-meter");
  EXPECT_EQ(code_of(zero(bench, 409)), "no-meter");
}

TEST(Meter, IsSetForAStepAndRead) {
  MeteredBench metered;
  metered.line.meter.shows("+9.9E37");
  const std::string test = metered.step_in("ohm");
  const Json at_once = metered.set(test);
  EXPECT_EQ(at_once["test"], test);
  EXPECT_TRUE(at_once["value"].is_null()) << "nothing from before the step";
  const Json open = metered.until(is_steady);
  EXPECT_EQ(open["unit"], "ohm");
  EXPECT_EQ(open["over_range"], true);
  EXPECT_EQ(open["in_air"], true);
  EXPECT_EQ(open["fresh"], false);
  metered.line.meter.shows("0.3");
  EXPECT_EQ(metered.until(
                [](const Json& state) { return state["steady"] == true && state["value"] == 0.3; })["fresh"],
            true);
  // This touch was for the leads, and is used.
  EXPECT_EQ(zero(metered.bench, 200)["leads_ohm"], 0.3);
  EXPECT_EQ(metered.until(is_steady)["fresh"], false);
  metered.line.meter.shows("+9.9E37");
  metered.until([](const Json& state) { return state["over_range"] == true; });
  EXPECT_EQ(code_of(zero(metered.bench, 409)), "meter-not-ready");
}

TEST(Meter, OnePageHasIt) {
  MeteredBench metered;
  const std::string test = metered.step_in("ohm");
  metered.set(test, 200, "p1");
  EXPECT_EQ(metered.set(test, 200, "p2")["page"], "p2");
  EXPECT_EQ(metered.set("", 200, "p1")["page"], "p2") << "a page that has it no more cannot let it go";
  EXPECT_EQ(metered.set("", 200, "p2")["page"], "");
  EXPECT_EQ(code_of(metered.set(test, 400, "")), "no-id");
  EXPECT_EQ(code_of(metered.set("none", 404)), "no-such-test");
}

TEST(Meter, NoOhmsWhereThereMayBePower) {
  MeteredBench metered;
  const std::string ohms = metered.step_in("ohm");
  const std::string volts = metered.step_in("V");
  metered.bench.post("/api/grafts/demo/readings",
                     {{"id", "a"}, {"test", volts}, {"value", 12}, {"unit", "V"}}, 201);
  EXPECT_EQ(code_of(metered.set(ohms, 409)), "live-circuit");
  metered.set(volts);
  metered.until([](const Json& state) { return state["unit"] == "V"; });
  EXPECT_FALSE(metered.heard("CONF:RES"));
  const std::string dead = ohms.substr(0, ohms.find(':'));
  Bench::json_of(metered.bench.client->Put("/api/grafts/demo/ticks/state:" + dead, R"({"done":true})",
                                           "application/json"),
                 "tick", 200);
  EXPECT_EQ(metered.set(ohms)["test"], ohms);
  metered.until([](const Json& state) { return state["unit"] == "ohm"; });
}

// Whatever is unplugged or switched next: until a step is opened the meter is at volts.
TEST(Meter, AChangeOfConditionPutsItToVolts) {
  MeteredBench metered;
  metered.set(metered.step_in("ohm"));
  metered.until([](const Json& state) { return state["unit"] == "ohm"; });
  Bench::json_of(metered.bench.client->Put("/api/grafts/demo/ticks/state:live-rest", R"({"done":true})",
                                           "application/json"),
                 "tick", 200);
  EXPECT_EQ(metered.bench.get("/api/meter")["test"], "");
  const auto last = std::chrono::steady_clock::now() + std::chrono::seconds(20);
  const auto at_volts = [&] {
    std::string configured;
    for (const std::string& command : metered.line.meter.heard())
      if (command.starts_with("CONF:")) configured = command;
    return configured == "CONF:VOLT:DC";
  };
  while (!at_volts() && std::chrono::steady_clock::now() < last) metered.bench.get("/api/meter");
  EXPECT_TRUE(at_volts());
}

TEST(Meter, ItsStateIsAnEvent) {
  MeteredBench metered;
  const RawClient other(metered.bench.bench->port());
  ASSERT_TRUE(other.send("GET /api/events?graft=demo HTTP/1.1\r\nHost: 127.0.0.1:" +
                         std::to_string(metered.bench.bench->port()) + "\r\n\r\n"));
  other.read_until(": listening");
  metered.line.meter.shows("12.6");
  metered.set(metered.step_in("V"));
  EXPECT_NE(other.read_until("\"value\":12.6").find("event: meter\ndata: {\"attached\":true"),
            std::string::npos);
}

}  // namespace
}  // namespace loomgraft::serve_meter_test
