// Pin tables over HTTP.
#include <gtest/gtest.h>

#include "tests/serve/bench.h"

namespace loomgraft::serve_tables_test {
namespace {

const std::string g = "/api/grafts/van";
const std::string table = "Pin,Thing,Wire\n1,Battery feed,RD\n2,Power earth,BK\n3,Engine speed,YE/BU\n";

struct Van : Bench {
  Van() { post("/api/grafts", {{"name", "van"}, {"title", "Van"}}, 201); }
};

TEST(Tables, EachColumnIsShownWithItsRole) {
  Bench bench;
  const Json report = bench.post("/api/tables", {{"name", "a.csv"}, {"text", table}});
  ASSERT_EQ(report["tables"].size(), 1U);
  const Json& first = report["tables"][0];
  EXPECT_EQ(first["pins"].size(), 3U);
  ASSERT_EQ(first["columns"].size(), 3U);
  EXPECT_EQ(first["columns"][0]["head"], "Pin");
  EXPECT_EQ(first["columns"][0]["role"], "cavity");
  EXPECT_EQ(first["columns"][2]["role"], "colour");
  EXPECT_EQ(first["rows_preview"][2][1], "Engine speed");
  EXPECT_TRUE(report["skipped"].empty());
}

TEST(Tables, AColumnIsCorrected) {
  Bench bench;
  const Json report =
      bench.post("/api/tables", {{"name", "a.csv"}, {"text", table}, {"columns", {{"Wire", "ignore"}}}});
  EXPECT_EQ(report["tables"][0]["columns"][2]["role"], "ignore");
  EXPECT_EQ(report["tables"][0]["pins"][0]["colour"]["base"], "");
}

TEST(Tables, BytesComeInBase64) {
  Bench bench;
  // "Pin;Signal\n1;Fu\xdf\n" in Windows-1252
  const Json report = bench.post(
      "/api/tables", {{"name", "a.csv"}, {"base64", "UGluO1NpZ25hbAoxO0Z130xhbXBlCjI7T2ZlbgozO1JhZAo="}});
  ASSERT_EQ(report["tables"].size(), 1U);
  EXPECT_EQ(report["tables"][0]["pins"].size(), 3U);
  EXPECT_EQ(report["tables"][0]["pins"][0]["signal"], "FußLampe");
  EXPECT_EQ(code_of(bench.post("/api/tables", {{"base64", "a*b"}}, 400)), "bad-base64");
}

TEST(Tables, TablesWithoutPinsAreSkipped) {
  Bench bench;
  const Json report =
      bench.post("/api/tables", {{"text", "Colour,Price\nred,12.50\nblue,13.75\ngreen,9.99\n"}});
  EXPECT_TRUE(report["tables"].empty());
  ASSERT_EQ(report["skipped"].size(), 1U);
  EXPECT_EQ(report["skipped"][0]["columns"][1]["head"], "Price");
  EXPECT_FALSE(report["skipped"][0]["reason"].get<std::string>().empty());
}

TEST(Tables, AModuleIsMadeAndASecondSourceLaidOverIt) {
  Van bench;
  const Json made = bench.post(g + "/tables", {{"role", "found"}, {"name", "manual.csv"}, {"text", table}});
  EXPECT_EQ(made["module"], "found");
  EXPECT_EQ(made["revision"], 2);
  Json edit = Json::array({{{"op", "add"}, {"path", "/modules/0/pins/0/populated"}, {"value", true}}});
  bench.patch("van", 2, edit);
  const std::string second = "Pin,Signal,Wire\n1,Battery feed,RD\n3,Road speed,WH\n4,Brake switch,GN\n";
  const Json laid = bench.post(
      g + "/tables", {{"role", "found"}, {"module", "found"}, {"name", "forum.csv"}, {"text", second}});
  EXPECT_EQ(laid["module"], "found");
  EXPECT_TRUE(laid["problems"].empty()) << laid["problems"];
  const Json module = bench.get(g)["modules"][0];
  ASSERT_EQ(module["pins"].size(), 4U);
  EXPECT_EQ(module["pins"][0]["claims"].size(), 2U);
  EXPECT_EQ(module["pins"][0]["populated"], true);
  EXPECT_EQ(module["pins"][1]["claims"].size(), 1U);
  // The earlier source stands; the doubt names both.
  EXPECT_EQ(module["pins"][2]["signal"], "Engine speed");
  const std::string doubt = module["pins"][2]["doubts"][0];
  EXPECT_NE(doubt.find("manual.csv"), std::string::npos) << doubt;
  EXPECT_NE(doubt.find("forum.csv"), std::string::npos) << doubt;
  EXPECT_EQ(module["pins"][3]["signal"], "Brake switch");
  EXPECT_EQ(bench.get(g)["sources"].size(), 2U);
}

TEST(Tables, ADonorBesideAnotherGetsItsOwnName) {
  Van bench;
  EXPECT_EQ(bench.post(g + "/tables", {{"role", "donor"}, {"name", "a"}, {"text", table}})["module"],
            "donor");
  EXPECT_EQ(bench.post(g + "/tables", {{"role", "donor"}, {"name", "b"}, {"text", table}})["module"],
            "donor2");
  EXPECT_EQ(code_of(bench.post(g + "/tables", {{"role", "found"}, {"text", "no table here"}}, 400)).empty(),
            false);
}

}  // namespace
}  // namespace loomgraft::serve_tables_test
