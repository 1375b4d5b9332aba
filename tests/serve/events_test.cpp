// The stream of events: what happens is received at once, and what was missed is received again.
#include <gtest/gtest.h>

#include <chrono>
#include <thread>

#include "serve/handlers.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_events_test {
namespace {

using namespace loomgraft::serve;

std::string listen(int port, const std::string& query, const std::string& fields = "") {
  return "GET /api/events?graft=demo" + query + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) +
         "\r\n" + fields + "\r\n";
}

TEST(Events, AnEditIsToldToTheOthers) {
  Bench bench;
  bench.make_demo();
  const RawClient other(bench.bench->port());
  ASSERT_TRUE(other.send(listen(bench.bench->port(), "")));
  const std::string head = other.read_until(": listening");
  EXPECT_NE(head.find("text/event-stream"), std::string::npos) << head;
  bench.patch("demo", 1, set_title("received"), 200, "Ann");
  const std::string received = other.read_until("\n\n");
  EXPECT_NE(received.find("id: 2\nevent: revision\ndata: {\"revision\":2,\"author\":\"Ann\""),
            std::string::npos)
      << received;
  bench.post("/api/grafts/demo/readings", {{"id", "a"}, {"test", "t"}, {"value", 1}, {"unit", "V"}}, 201);
  EXPECT_NE(other.read_until("\n\n").find("event: reading\ndata: {\"id\":\"a\",\"sequence\":3"),
            std::string::npos);
}

TEST(Events, WhatWasMissedIsToldOnce) {
  Bench bench;
  bench.make_demo();
  for (int i = 1; i <= 5; ++i) bench.patch("demo", i, set_title("title " + std::to_string(i)));
  bench.restart();
  const RawClient other(bench.bench->port());
  ASSERT_TRUE(other.send(listen(bench.bench->port(), "", "Last-Event-ID: 3\r\n")));
  std::string received = other.read_until("id: 6\n");
  bench.patch("demo", 6, set_title("last"));
  received += other.read_until("id: 7\n");
  for (const int id : {1, 2, 3})
    EXPECT_EQ(received.find("id: " + std::to_string(id) + "\n"), std::string::npos) << received;
  for (const int id : {4, 5, 6, 7}) {
    const std::string line = "id: " + std::to_string(id) + "\n";
    const std::size_t at = received.find(line);
    EXPECT_NE(at, std::string::npos) << id;
    EXPECT_EQ(received.find(line, at + 1), std::string::npos) << id;
  }
}

// Written between the listener's arrival and its first answer: it stands in the file and in the log.
TEST(Events, WhatStandsInTheFileAndInTheLogIsToldOnce) {
  Bench bench;
  bench.make_demo();
  const RawClient other(bench.bench->port());
  ASSERT_TRUE(other.send(listen(bench.bench->port(), "")));
  other.read_until(": listening");
  Call call;
  call.query = {{"graft", "demo"}, {"last", "1"}};
  const Answer answer = get_events(*bench.bench, call);
  bench.patch("demo", 1, set_title("once"));
  other.read_until("id: 2\n");
  std::string received;
  const auto send = [&](std::string_view text) {
    received += text;
    return true;
  };
  ASSERT_TRUE(answer.stream(send));
  bench.patch("demo", 2, set_title("twice"));
  while (received.find("id: 3\n") == std::string::npos) ASSERT_TRUE(answer.stream(send));
  const std::size_t at = received.find("id: 2\n");
  ASSERT_NE(at, std::string::npos);
  EXPECT_EQ(received.find("id: 2\n", at + 1), std::string::npos) << received;
}

TEST(Events, WhatAnotherProgramWritesIsTold) {
  Bench bench;
  bench.make_demo();
  const RawClient other(bench.bench->port());
  ASSERT_TRUE(other.send(listen(bench.bench->port(), "")));
  other.read_until(": listening");
  GraftFile file = held(GraftFile::open(bench.folder / "demo.graft"));
  held(file.append(Tick{"k1", "move:1", true, "Bob", "2026-03-01T10:00:00Z"}));
  EXPECT_NE(other.read_until("\n\n").find("event: tick"), std::string::npos);
}

TEST(Events, ListenersAreCountedAndTheirPlacesGivenBack) {
  ServeOptions options;
  options.max_streams = 2;
  Bench bench(options);
  bench.make_demo();
  {
    const RawClient a(bench.bench->port());
    const RawClient b(bench.bench->port());
    for (const RawClient* client : {&a, &b}) {
      ASSERT_TRUE(client->send(listen(bench.bench->port(), "")));
      client->read_until(": listening");
    }
    bench.get("/api/events?graft=demo", 503);
  }
  // Both hung up: their places are free within a slice of the waiting.
  const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(10);
  std::string head;
  while (status_in(head) != 200 && std::chrono::steady_clock::now() < until) {
    const RawClient again(bench.bench->port());
    again.send(listen(bench.bench->port(), ""));
    head = again.read_until("\r\n\r\n");
  }
  EXPECT_EQ(status_in(head), 200) << head;
  bench.get("/api/events?graft=none", 404);
}

TEST(Events, TheEndOfTheProgramEndsTheStream) {
  Bench bench;
  bench.make_demo();
  const RawClient other(bench.bench->port());
  ASSERT_TRUE(other.send(listen(bench.bench->port(), "")));
  other.read_until(": listening");
  bench.client.reset();
  const auto before = std::chrono::steady_clock::now();
  bench.bench.reset();
  EXPECT_LT(std::chrono::steady_clock::now() - before, std::chrono::seconds(4));
  other.read_all();  // ends, or the test hangs
}

TEST(EventLog, KeepsABoundedRunAndSaysWhatIsGone) {
  EventLog log;
  std::uint64_t place = log.end();
  for (std::size_t i = 0; i < EventLog::kept + 5; ++i)
    log.publish({static_cast<std::int64_t>(i + 1), "x", "{}"});
  const EventLog::Batch batch = log.after(place, std::chrono::milliseconds(0));
  EXPECT_TRUE(batch.missed);
  ASSERT_EQ(batch.events.size(), EventLog::kept);
  EXPECT_EQ(batch.events.front().sequence, 6);
  EXPECT_TRUE(log.after(place, std::chrono::milliseconds(0)).events.empty());
  log.close();
  EXPECT_TRUE(log.after(place, std::chrono::seconds(60)).closed);
}

}  // namespace
}  // namespace loomgraft::serve_events_test
