// Readings, ticks and photos over HTTP.
#include <gtest/gtest.h>

#include "tests/serve/bench.h"

namespace loomgraft::serve_entries_test {
namespace {

const std::string g = "/api/grafts/demo";

Json reading(const std::string& id, double value) {
  return {{"id", id}, {"test", "t1"}, {"value", value}, {"unit", "V"}};
}

TEST(Entries, AReadingSentAgainIsNotDoubled) {
  Bench bench;
  bench.make_demo();
  const Json first = bench.post(g + "/readings", reading("a", 1.5), 201);
  EXPECT_EQ(bench.post(g + "/readings", reading("a", 1.5))["sequence"], first["sequence"]);
  bench.restart();
  EXPECT_EQ(bench.post(g + "/readings", reading("a", 1.5))["sequence"], first["sequence"]);
  EXPECT_EQ(code_of(bench.post(g + "/readings", reading("a", 2.5), 409)), "id-taken");
  const Json all = bench.get(g + "/readings")["readings"];
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0]["value"], 1.5);
  EXPECT_EQ(all[0]["author"], "this computer");
}

TEST(Entries, AReadingThatIsNoneIsRefused) {
  Bench bench;
  bench.make_demo();
  bench.post(g + "/readings", {{"id", "a"}, {"value", "1.5"}}, 400);
  bench.post(g + "/readings", {{"value", 1.5}}, 400);
  bench.post(g + "/readings", Json::array(), 400);
  const auto broken = bench.client->Post(g + "/readings", R"({"id":"a","value":1e999})", "application/json");
  EXPECT_EQ(broken->status, 400);
  EXPECT_TRUE(bench.get(g + "/readings")["readings"].empty());
}

TEST(Entries, AReadingKeepsItsMarkAndAResendNeedsNone) {
  Bench bench;
  bench.make_demo();
  Json marked = reading("a", 1.5);
  marked["in_band_only"] = true;
  const Json first = bench.post(g + "/readings", marked, 201);
  EXPECT_EQ(bench.post(g + "/readings", reading("a", 1.5))["sequence"], first["sequence"]);
  bench.post(g + "/readings", reading("c", 1.5), 201);
  const Json all = bench.get(g + "/readings")["readings"];
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0]["in_band_only"], true);
  EXPECT_FALSE(all[1].contains("in_band_only"));
}

TEST(Entries, NothingOfPracticeIsKept) {
  Bench bench;
  bench.make_demo();
  Json practice = reading("a", 1.5);
  practice["practice"] = true;
  bench.post(g + "/readings", practice);
  bench.post(g + "/readings", reading("practice-in-band-b", 1.5));
  EXPECT_TRUE(bench.get(g + "/readings")["readings"].empty());
}

TEST(Entries, TicksSayWhoAndTheLatestCounts) {
  Bench bench;
  bench.make_demo();
  const auto tick = [&](const std::string& subject, bool done) {
    const auto answer = bench.client->Put(g + "/ticks/" + subject, {{"X-Author", "%C3%84nne"}},
                                          Json{{"done", done}}.dump(), "application/json");
    ASSERT_TRUE(answer);
    EXPECT_EQ(answer->status, 200);
  };
  tick("move%3A1", true);
  tick("move%3A2", true);
  tick("move%3A1", false);
  const Json ticks = bench.get(g + "/ticks")["ticks"];
  ASSERT_EQ(ticks.size(), 2U);
  EXPECT_EQ(ticks[0]["subject"], "move:1");
  EXPECT_EQ(ticks[0]["done"], false);
  EXPECT_EQ(ticks[0]["author"], "Änne");
  const auto unsaid = bench.client->Put(g + "/ticks/x", "{}", "application/json");
  EXPECT_EQ(unsaid->status, 400);
}

TEST(Entries, PhotosComeBackAsTheyWentIn) {
  Bench bench;
  bench.make_demo();
  const std::string bytes = "\xff\xd8\xff\xe0" + std::string(200'000, 'x');
  const auto sent = bench.client->Post(g + "/photos?subject=move%3A1&name=a.jpg", bytes, "image/jpeg");
  ASSERT_TRUE(sent);
  ASSERT_EQ(sent->status, 201) << sent->body;
  const std::string id = Json::parse(sent->body)["id"];
  const Json list = bench.get(g + "/photos")["photos"];
  ASSERT_EQ(list.size(), 1U);
  EXPECT_EQ(list[0]["subject"], "move:1");
  const auto back = bench.client->Get(g + "/photos/" + id);
  EXPECT_EQ(back->body, bytes);
  EXPECT_EQ(back->get_header_value("Content-Type"), "image/jpeg");
  const auto known =
      bench.client->Get(g + "/photos/" + id, {{"If-None-Match", back->get_header_value("ETag")}});
  EXPECT_EQ(known->status, 304);
  bench.get(g + "/photos/none", 404);
  // A page that calls itself a picture would run on our address.
  EXPECT_EQ(bench.client->Post(g + "/photos", "<html></html>", "image/jpeg")->status, 400);
  EXPECT_EQ(bench.client->Post(g + "/photos", "<svg xmlns='x'/>", "image/svg+xml")->status, 400);
  EXPECT_EQ(bench.client->Post(g + "/photos", bytes, "text/html")->status, 415);
}

TEST(Entries, ARemovedPhotoIsGoneAndItsStepCanSaySo) {
  Bench bench;
  bench.make_demo();
  const std::string bytes = "\xff\xd8\xff\xe0" + std::string(9'000, 'x');
  const std::string address = g + "/photos?id=p1&subject=t1&name=a.jpg";
  ASSERT_EQ(bench.client->Post(address, bytes, "image/jpeg")->status, 201);
  const std::string etag = bench.client->Get(g + "/photos/p1")->get_header_value("ETag");
  const auto remove = [&](const std::string& id, const std::string& author) {
    return bench.client->Delete(g + "/photos/" + id, {{"X-Author", author}});
  };
  EXPECT_EQ(remove("none", "Ben")->status, 404);
  const auto removed = remove("p1", "Ben");
  ASSERT_EQ(removed->status, 200) << removed->body;
  EXPECT_EQ(bench.client->Get(g + "/photos/p1", {{"If-None-Match", etag}})->status, 410);
  const RawClient listener(bench.bench->port());
  const std::string port = std::to_string(bench.bench->port());
  listener.send("GET /api/events?graft=demo&last=0 HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\n\r\n");
  const std::string received = listener.read_until("removed");
  EXPECT_NE(received.find("event: photo\ndata: {\"id\":\"p1\",\"removed\":true}"), std::string::npos)
      << received;
  bench.restart();
  EXPECT_EQ(code_of(bench.get(g + "/photos/p1", 410)), "removed");
  EXPECT_EQ(remove("p1", "Cid")->body, removed->body);
  EXPECT_EQ(bench.client->Post(address, bytes, "image/jpeg")->status, 200) << "sent again, and still gone";
  const Json list = bench.get(g + "/photos")["photos"];
  ASSERT_EQ(list.size(), 1U);
  EXPECT_EQ(list[0]["subject"], "t1");
  EXPECT_EQ(list[0]["removed"]["author"], "Ben");
  EXPECT_TRUE(bench.get(g + "/ticks")["ticks"].empty());
}

TEST(Entries, APictureThatFewBrowsersShowIsRefusedWithTheRemedy) {
  Bench bench;
  bench.make_demo();
  const std::string heic(
      "\0\0\0\x18"
      "ftypheic\0\0\0\0mif1heic",
      24);
  const auto answer =
      bench.client->Post("/api/grafts/demo/photos?subject=test%201&name=a.heic", heic, "image/heic");
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->status, 415);
  EXPECT_NE(answer->body.find("JPEG"), std::string::npos);
}

}  // namespace
}  // namespace loomgraft::serve_entries_test
