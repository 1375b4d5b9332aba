// Documents over HTTP: made, read, changed by several, undone, taken out and in.
#include <gtest/gtest.h>

#include "tests/serve/bench.h"

namespace loomgraft::serve_documents_test {
namespace {

const std::string g = "/api/grafts/demo";

TEST(Documents, AreMadeListedAndNotMadeTwice) {
  Bench bench;
  EXPECT_TRUE(bench.get("/api/grafts")["grafts"].empty());
  bench.post("/api/grafts", {{"name", "van"}, {"title", "A box van"}, {"example", false}}, 201);
  bench.make_demo();
  const Json list = bench.get("/api/grafts")["grafts"];
  ASSERT_EQ(list.size(), 2U);
  EXPECT_EQ(list[1]["name"], "van");
  EXPECT_EQ(list[1]["title"], "A box van");
  EXPECT_EQ(list[1]["revision"], 1);
  EXPECT_EQ(code_of(bench.post("/api/grafts", {{"name", "van"}}, 409)), "file-exists");
  EXPECT_EQ(code_of(bench.post("/api/grafts", {{"name", "../van"}}, 400)), "unsafe-name");
  EXPECT_EQ(code_of(bench.post("/api/grafts", {{"title", "no name"}}, 400)), "unsafe-name");
  EXPECT_EQ(code_of(bench.get("/api/grafts/boat", 404)), "not-found");
}

TEST(Documents, AreAnsweredAsMade) {
  Bench bench;
  const std::string body = R"({"name":"van","title":"A van","example":true})";
  const auto made = bench.client->Post("/api/grafts", body, "application/json");
  ASSERT_TRUE(made);
  EXPECT_EQ(made->status, 201);
  EXPECT_EQ(made->get_header_value("Location"), "/api/grafts/van");
  const auto got = bench.client->Get(made->get_header_value("Location"));
  ASSERT_TRUE(got);
  EXPECT_EQ(made->body, got->body);
  for (const char* name : {"ETag", "X-Can-Undo", "X-Can-Redo"})
    EXPECT_EQ(made->get_header_value(name), got->get_header_value(name));
}

TEST(Documents, AnswerNotChangedWhereTheyAreKnown) {
  Bench bench;
  bench.make_demo();
  const auto first = bench.client->Get(g);
  ASSERT_TRUE(first);
  EXPECT_EQ(first->get_header_value("ETag"), "\"r1\"");
  EXPECT_EQ(first->get_header_value("X-Can-Undo"), "false");
  EXPECT_EQ(bench.client->Get(g, {{"If-None-Match", "\"r1\""}})->status, 304);
  bench.patch("demo", 1, set_title("another"));
  const auto second = bench.client->Get(g, {{"If-None-Match", "\"r1\""}});
  EXPECT_EQ(second->status, 200);
  EXPECT_EQ(second->get_header_value("ETag"), "\"r2\"");
  EXPECT_EQ(second->get_header_value("X-Can-Undo"), "true");
  EXPECT_EQ(Json::parse(second->body)["title"], "another");
}

TEST(Documents, SideBySideEditsBothStandAndCollidingOnesAreTold) {
  Bench bench;
  bench.make_demo();
  const Json wire = Json::array({{{"op", "add"}, {"path", "/wires/0/length_mm"}, {"value", 1234}}});
  EXPECT_EQ(bench.patch("demo", 1, set_title("mine"))["rebased"], false);
  const Json rebased = bench.patch("demo", 1, wire);
  EXPECT_EQ(rebased["rebased"], true);
  EXPECT_EQ(rebased["revision"], 3);
  const Json refused = bench.patch("demo", 1, set_title("theirs"), 409);
  EXPECT_EQ(code_of(refused), "changed-meanwhile");
  EXPECT_EQ(refused["problems"][0]["pointer"], "/title");
  EXPECT_NE(refused["problems"][0]["message"].get<std::string>().find("mine"), std::string::npos);
  const Json document = bench.get(g);
  EXPECT_EQ(document["title"], "mine");
  EXPECT_EQ(document["wires"][0]["length_mm"], 1234);
  EXPECT_EQ(code_of(bench.patch("demo", 99, wire, 412)), "no-such-revision");
}

TEST(Documents, AnEditThatDoesNotFitChangesNothing) {
  Bench bench;
  bench.make_demo();
  const Json nowhere = Json::array({{{"op", "replace"}, {"path", "/no/such"}, {"value", 1}}});
  EXPECT_EQ(code_of(bench.patch("demo", 1, nowhere, 400)), "patch-does-not-apply");
  const Json newer = Json::array({{{"op", "replace"}, {"path", "/version"}, {"value", 99}}});
  EXPECT_EQ(code_of(bench.patch("demo", 1, newer, 400)), "document-not-usable");
  const auto unsaid = bench.client->Patch(g, set_title("x").dump(), "application/json-patch+json");
  EXPECT_EQ(unsaid->status, 400);
  EXPECT_EQ(code_of(Json::parse(unsaid->body)), "no-revision");
  const auto wrong_type = bench.client->Patch(g, {{"If-Match", "\"r1\""}}, "[]", "text/plain");
  EXPECT_EQ(wrong_type->status, 415);
  EXPECT_EQ(bench.get("/api/grafts")["grafts"][0]["revision"], 1);
}

TEST(Documents, UndoAndRedoOutliveTheProgram) {
  Bench bench;
  bench.make_demo();
  const std::string before = bench.get(g)["title"];
  bench.patch("demo", 1, set_title("changed"), 200, "Ann");
  bench.restart();
  const auto undo = [&](const char* way, int revision, int status) {
    const std::string tag = "\"r" + std::to_string(revision) + "\"";
    return Bench::json_of(bench.client->Post(g + "/" + way, {{"If-Match", tag}}, "", ""), way, status);
  };
  EXPECT_EQ(code_of(undo("undo", 1, 409)), "changed-meanwhile");
  EXPECT_EQ(undo("undo", 2, 200)["revision"], 3);
  EXPECT_EQ(bench.get(g)["title"], before);
  EXPECT_EQ(bench.client->Get(g)->get_header_value("X-Can-Redo"), "true");
  EXPECT_NE(undo("redo", 3, 200)["text"].get<std::string>().find("changed"), std::string::npos);
  EXPECT_EQ(bench.get(g)["title"], "changed");
  EXPECT_EQ(code_of(undo("redo", 4, 409)), "nothing-to-redo");
  const Json history = bench.get(g + "/history?count=2")["revisions"];
  ASSERT_EQ(history.size(), 2U);
  EXPECT_EQ(history[0]["revision"], 4);
  EXPECT_EQ(history[1]["kind"], "undo");
  EXPECT_EQ(bench.get(g + "/history?from=2&count=1")["revisions"][0]["author"], "Ann");
}

TEST(Documents, GoOutAndComeInWithoutLoss) {
  Bench bench;
  bench.make_demo();
  bench.post(g + "/readings", {{"id", "a"}, {"test", "t"}, {"value", 1.5}, {"unit", "V"}}, 201);
  const auto out = bench.client->Get(g + "/export");
  ASSERT_TRUE(out);
  EXPECT_EQ(out->get_header_value("Content-Disposition"),
            "attachment; filename=\"demo.json\"; filename*=UTF-8''demo.json");
  bench.post("/api/grafts", {{"name", "copy"}, {"title", ""}, {"example", false}}, 201);
  const Json taken = bench.post("/api/grafts/copy/import", Json::parse(out->body));
  EXPECT_EQ(taken["revision"], 2);
  EXPECT_EQ(bench.client->Get("/api/grafts/copy/export")->body, out->body);
  EXPECT_EQ(code_of(bench.post("/api/grafts/copy/import", Json{{"format", "other"}}, 400)).empty(), false);
}

TEST(Documents, ANameOfAnotherScriptIsNoDanger) {
  Bench bench;
  bench.make_demo("Füße (2)");
  // The client library decodes what it reads, so the bytes are looked at themselves.
  const RawClient client(bench.bench->port());
  client.send("GET /api/grafts/F%C3%BC%C3%9Fe%20%282%29/export HTTP/1.1\r\nHost: 127.0.0.1:" +
              std::to_string(bench.bench->port()) + "\r\nConnection: close\r\n\r\n");
  EXPECT_NE(
      client.read_until("\r\n\r\n")
          .find(
              "attachment; filename=\"F____e__2_.json\"; filename*=UTF-8''F%C3%BC%C3%9Fe%20%282%29.json\r\n"),
      std::string::npos);
}

TEST(Documents, OneFileAloneIsServed) {
  const ScratchFolder folder;
  held(GraftFile::create(folder / "van.graft", Graft{}, stamp_of("Ann")));
  held(GraftFile::create(folder / "boat.graft", Graft{}, stamp_of("Ann")));
  ServeOptions options;
  options.path = folder / "van.graft";
  options.port = 0;
  const auto bench = held(Workbench::start(options));
  httplib::Client client("127.0.0.1", bench->port());
  EXPECT_EQ(Json::parse(client.Get("/api/grafts")->body)["grafts"].size(), 1U);
  EXPECT_EQ(client.Get("/api/grafts/van")->status, 200);
  EXPECT_EQ(client.Get("/api/grafts/boat")->status, 404);
  const auto made = client.Post("/api/grafts", R"({"name":"x"})", "application/json");
  EXPECT_EQ(code_of(Json::parse(made->body)), "one-file-only");
}

TEST(Documents, AFileThatIsNoneAndAPortThatIsTakenAreSaid) {
  const ScratchFolder folder;
  write_bytes(folder / "x.graft", "no database");
  ServeOptions options;
  options.path = folder / "x.graft";
  EXPECT_EQ(code_of(Workbench::start(options)), "not-a-graft-file");
  options.path = folder / "nowhere";
  EXPECT_EQ(code_of(Workbench::start(options)), "not-found");
  Bench bench;
  options.path = folder.path();
  options.port = bench.bench->port();
  options.any_port = false;
  EXPECT_EQ(code_of(Workbench::start(options)), "port-taken");
  options.any_port = true;
  const auto other = held(Workbench::start(options));
  EXPECT_TRUE(other->moved());
  EXPECT_NE(other->port(), bench.bench->port());
}

// Somebody moves another file to the name while the program has the old one open.
TEST(Documents, AFileThatTakesTheNameIsOpenedAnew) {
  Bench bench;
  bench.make_demo();
  EXPECT_EQ(bench.get(g)["wires"].empty(), false);
  Graft other;
  other.title = "other";
  held(GraftFile::create(bench.folder / "other.graft", other, stamp_of("Ann")));
  for (const char* tail : {"-wal", "-shm"})
    std::filesystem::remove(bench.folder / (std::string("demo.graft") + tail));
  std::filesystem::rename(bench.folder / "other.graft", bench.folder / "demo.graft");
  EXPECT_EQ(bench.get(g)["title"], "other");
  std::filesystem::remove(bench.folder / "demo.graft");
  bench.get(g, 404);
  bench.post(g + "/readings", {{"id", "a"}, {"test", "t"}, {"value", 1}, {"unit", "V"}}, 404);
}

}  // namespace
}  // namespace loomgraft::serve_documents_test
