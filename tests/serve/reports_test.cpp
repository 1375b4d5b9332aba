// Stage reports, drawings, the plug finder and the plan over HTTP.
#include <gtest/gtest.h>

#include <future>
#include <thread>

#include "tests/serve/bench.h"

namespace loomgraft::serve_reports_test {
namespace {

const std::string g = "/api/grafts/demo";

// The answer itself, where at first there is only the job that makes it: asks until that is done.
httplib::Result made_answer(Bench& bench, const std::string& path, const httplib::Headers& headers = {}) {
  for (;;) {
    auto answer = bench.client->Get(path, headers);
    if (!answer || answer->status != 202) return answer;
    const std::string job = Json::parse(answer->body)["job"];
    while (bench.get("/api/jobs/" + job)["state"] == "running") std::this_thread::yield();
  }
}

Json report_of(Bench& bench, const std::string& path) {
  return Bench::json_of(made_answer(bench, path), path, 200);
}

TEST(Reports, AreComputedOnceForEachRevision) {
  Bench bench;
  bench.make_demo();
  const auto first = made_answer(bench, g + "/reports/compare?found=found&donor=donor");
  ASSERT_TRUE(first);
  ASSERT_EQ(first->status, 200);
  const std::string tag = first->get_header_value("ETag");
  EXPECT_TRUE(tag.starts_with("\"r1-")) << tag;
  const std::size_t computed = bench.bench->jobs().computed();
  const auto second = bench.client->Get(g + "/reports/compare?found=found&donor=donor");
  EXPECT_EQ(second->body, first->body);
  EXPECT_EQ(
      bench.client->Get(g + "/reports/compare?found=found&donor=donor", {{"If-None-Match", tag}})->status,
      304);
  EXPECT_EQ(bench.bench->jobs().computed(), computed);
  bench.patch("demo", 1, set_title("x"));
  const auto third =
      made_answer(bench, g + "/reports/compare?found=found&donor=donor", {{"If-None-Match", tag}});
  EXPECT_EQ(third->status, 200);
  EXPECT_EQ(bench.bench->jobs().computed(), computed + 1);
}

TEST(Reports, AgreeWithTheDemo) {
  Bench bench;
  bench.make_demo();
  const Json compared = report_of(bench, g + "/reports/compare");
  EXPECT_EQ(compared["summary"]["clash"], 2);
  EXPECT_EQ(compared["summary"]["shift"], 5);
  EXPECT_TRUE(bench.get(g + "/reports/check")["problems"].empty());
  EXPECT_EQ(bench.get(g + "/reports/rank")["considered"], 1);
  const Json solved = report_of(bench, g + "/reports/solve?condition=on&corner=weakest");
  EXPECT_EQ(solved["corner"], "weakest");
  const Json designed = report_of(bench, g + "/reports/design");
  EXPECT_FALSE(designed["circuits"].empty());
  const Json what = report_of(bench, g + "/reports/design?what=vehicle.supply_v%3D24");
  EXPECT_EQ(what["change"], "vehicle.supply_v=24");
}

TEST(Reports, SayWhatIsMissing) {
  Bench bench;
  bench.make_demo();
  EXPECT_EQ(code_of(bench.get(g + "/reports/compare?donor=nobody", 404)), "no-such-module");
  EXPECT_EQ(code_of(bench.get(g + "/reports/solve?condition=tuesday", 400)), "bad-condition");
  EXPECT_EQ(code_of(bench.get(g + "/reports/solve?corner=left", 400)), "bad-corner");
  bench.get(g + "/reports/design?what=nothing", 400);
  EXPECT_EQ(code_of(bench.get("/api/jobs/j999", 404)), "no-such-job");
  EXPECT_EQ(bench.client->Delete("/api/jobs/j999")->status, 404);
  bench.post("/api/grafts", {{"name", "bare"}}, 201);
  EXPECT_EQ(code_of(bench.get("/api/grafts/bare/reports/compare", 404)), "no-such-module");
  EXPECT_EQ(bench.get("/api/grafts/bare/reports/check")["usable"], true);
}

TEST(Reports, DrawingsAreTheModulesOwn) {
  Bench bench;
  bench.make_demo();
  const auto face =
      bench.client->Get(g + "/drawings/face/found.C2?side=mating&compare=donor&black=1&width=90");
  ASSERT_TRUE(face);
  EXPECT_EQ(face->status, 200);
  EXPECT_EQ(face->get_header_value("Content-Type"), "image/svg+xml");
  EXPECT_TRUE(face->body.starts_with("<svg"));
  EXPECT_NE(face->body.find("data-cavity"), std::string::npos);
  EXPECT_EQ(bench.client->Get(g + "/drawings/face/none")->status, 404);
  const auto diagram = bench.client->Get(g + "/drawings/diagram?show=difference");
  EXPECT_NE(diagram->body.find("data-wire"), std::string::npos);
  const auto sheets = bench.client->Get(g + "/drawings/diagram?paper=a4&portrait=1");
  EXPECT_NE(sheets->body.find("class=\"paper\""), std::string::npos);
  EXPECT_NE(sheets->body.find("revision 1<"), std::string::npos);
}

// Long computations must not keep anyone from the document or a drawing.
TEST(Reports, DocumentsAndDrawingsDoNotWaitForReports) {
  ServeOptions options;
  options.jobs.threads = 1;
  options.jobs.answer_within = std::chrono::milliseconds(1);
  Bench bench(options);
  bench.make_demo();
  std::promise<void> gate;
  const std::shared_future<void> open(gate.get_future());
  bench.bench->jobs().request("long", "long", "demo", [open](const JobControl&) {
    open.wait();
    return JobResult{};
  });
  EXPECT_EQ(bench.client->Get(g + "/reports/compare")->status, 202);
  EXPECT_EQ(bench.client->Get(g)->status, 200);
  EXPECT_EQ(bench.client->Get(g + "/drawings/diagram")->status, 200);
  EXPECT_EQ(bench.client->Get(g + "/drawings/face/found.C2")->status, 200);
  gate.set_value();
}

TEST(Reports, ThePlugIsFoundFromStructuredAndFromFreeTextObservations) {
  Bench bench;
  bench.make_demo();
  const Json seen = Json::array({{{"row", 1}, {"column", 1}, {"colour", "YE/BU"}},
                                 {{"row", 1}, {"column", 2}, {"empty", true}},
                                 {{"row", 2}, {"column", 1}, {"colour", "BK"}, {"large", false}}});
  const Json by_parts = bench.post(g + "/plug", {{"seen", seen}, {"latch", "top"}});
  const Json by_words =
      bench.post(g + "/plug", {{"text", "r1c1 YE/BU, r1c2 empty, r2c1 BK small, latch top"}});
  EXPECT_EQ(by_parts, by_words);
  EXPECT_FALSE(by_parts["hypotheses"].empty());
  EXPECT_EQ(code_of(bench.post(g + "/plug", {{"connectors", {"nothing"}}}, 404)), "no-such-connector");
}

TEST(Reports, ThePlanIsOneRevision) {
  Bench bench;
  bench.make_demo();
  const Json once = bench.post(g + "/plan/propose", {{"found", "found"}, {"donor", "donor"}});
  const Json twice = bench.post(g + "/plan/propose", {{"found", "found"}, {"donor", "donor"}});
  EXPECT_LE(once["revision"], 2);
  EXPECT_EQ(twice["revision"], once["revision"]);
  bench.post(g + "/plan/propose", {{"found", "nobody"}}, 404);
}

}  // namespace
}  // namespace loomgraft::serve_reports_test
