#include "loom/graft_json.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/loom/sample_graft.h"

namespace loomgraft::loom_graft_json_test {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

MATCHER_P2(IsProblem, code, pointer, "") {
  return arg.code == code && arg.location.pointer == pointer;
}

TEST(GraftJson, RoundTripsEveryMember) {
  const Graft graft = sample_graft();
  const GraftReading back = graft_from_json(write_graft(graft), "sample.json");
  EXPECT_THAT(back.problems, IsEmpty());
  ASSERT_TRUE(back.graft);
  EXPECT_EQ(*back.graft, graft);
  EXPECT_EQ(write_graft(*back.graft), write_graft(graft));
}

TEST(GraftJson, FollowsItsSchema) {
  const std::string document = std::string(LOOMGRAFT_BUILD) + "/tests/sample_graft.json";
  std::ofstream(document) << write_graft(sample_graft());
  const std::string root = LOOMGRAFT_ROOT;
  const std::string command = "/usr/bin/python3 '" + root + "/tests/reference/check_schema.py' '" + root +
                              "/schema/graft.schema.json' '" + document + "'";
  EXPECT_EQ(std::system(command.c_str()), 0);
}

TEST(GraftJson, EverySampleMemberHoldsSomething) {
  // Guards the two tests above: each property that the schema knows must stand in the sample.
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/schema/graft.schema.json");
  const auto schema = nlohmann::json::parse(file);
  const std::string text = write_graft(sample_graft());
  for (const auto& [type, definition] : schema["$defs"].items()) {
    if (!definition.contains("properties")) continue;
    for (const auto& [name, property] : definition["properties"].items()) {
      EXPECT_NE(text.find('"' + name + '"'), std::string::npos) << type << "." << name;
    }
  }
}

TEST(GraftJson, KeepsWhatIsGoodAndNamesWhatIsNot) {
  const auto reading = graft_from_json(R"({"format":"loomgraft","version":1,"title":7,"colour":"red",
      "vehicle":{"supply_v":"twelve","name":"Harrow"},
      "modules":[{"id":"a","role":"chief","pins":[{"connector":"c","cavity":"1","class":"magic"},5]}]})",
                                       "x.json");
  ASSERT_TRUE(reading.graft);
  EXPECT_EQ(reading.graft->vehicle.name, "Harrow");
  ASSERT_EQ(reading.graft->modules.size(), 1u);
  EXPECT_EQ(reading.graft->modules[0].pins.size(), 1u);
  EXPECT_THAT(
      reading.problems,
      ElementsAre(IsProblem("wrong-type", "/title"), IsProblem("wrong-type", "/vehicle/supply_v"),
                  IsProblem("unknown-word", "/modules/0/role"),
                  IsProblem("unknown-word", "/modules/0/pins/0/class"),
                  IsProblem("wrong-type", "/modules/0/pins/1"), IsProblem("unknown-member", "/colour")));
}

TEST(GraftJson, NamesTheLineWhereJsonEnds) {
  const auto reading = graft_from_json("{\"format\":\"loomgraft\",\n\"version\":1,,}", "x.json");
  EXPECT_FALSE(reading.graft);
  ASSERT_EQ(reading.problems.size(), 1u);
  EXPECT_EQ(reading.problems[0].location.line, 2);
  EXPECT_EQ(reading.problems[0].location.column, 13);
}

TEST(GraftJson, RefusesNewerVersionsAndOtherJson) {
  EXPECT_THAT(graft_from_json(R"({"format":"loomgraft","version":2})", "").problems,
              ElementsAre(IsProblem("newer-version", "/version")));
  EXPECT_THAT(graft_from_json(R"({"format":"loomgraft"})", "").problems,
              ElementsAre(IsProblem("no-version", "/version")));
  EXPECT_THAT(graft_from_json("[1]", "").problems, ElementsAre(IsProblem("not-a-graft", "/format")));
}

TEST(GraftJson, DeepNestingIsNoCrash) {
  const std::string deep(200000, '[');
  EXPECT_FALSE(graft_from_json(deep, "").graft);
  const std::string closed =
      "{\"format\":\"loomgraft\",\"version\":1,\"x\":" + deep + std::string(200000, ']') + "}";
  EXPECT_TRUE(graft_from_json(closed, "").graft);
}

TEST(GraftJson, RoundTripsAnyTextAndSize) {
  EXPECT_TRUE(rc::check("a wire with any id, size and length comes back", [] {
    Graft graft;
    Wire wire;
    wire.id = "w" + std::to_string(*rc::gen::inRange(0, 1000000));
    // Any code points below the surrogates, as UTF-8 of one or two bytes.
    for (const int code : *rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 0x7ff))) {
      if (code < 0x80) {
        wire.signal += static_cast<char>(code);
      } else {
        wire.signal += static_cast<char>(0xc0 | (code >> 6));
        wire.signal += static_cast<char>(0x80 | (code & 0x3f));
      }
    }
    wire.area = square_millimetres(*rc::gen::inRange(1, 100000) / 100.0);
    wire.length = millimetres(*rc::gen::inRange(0, 1000000) / 10.0);
    graft.wires = {wire};
    const GraftReading back = graft_from_json(write_graft(graft), "");
    RC_ASSERT(back.problems.empty());
    RC_ASSERT(*back.graft == graft);
  }));
}

TEST(GraftJson, TellsWhereANumberIsTooLarge) {
  const GraftReading reading = graft_from_json("{\n \"a\": 1e400}", "graft.json");
  ASSERT_FALSE(reading.graft);
  ASSERT_EQ(reading.problems.size(), 1U);
  EXPECT_EQ(reading.problems[0].code, "bad-json");
  EXPECT_EQ(reading.problems[0].location.line, 2);
  EXPECT_EQ(reading.problems[0].location.column, 7);
}

}  // namespace
}  // namespace loomgraft::loom_graft_json_test
