// What must not get in, and what must not take the program down.
#include <gtest/gtest.h>

#include <chrono>

#include "http/clock.h"
#include "serve/routes.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_security_test {
namespace {

using namespace loomgraft::serve;

ServeOptions remote() {
  ServeOptions options;
  options.loopback_is_remote = true;
  return options;
}

std::string concrete(std::string path) {
  for (std::size_t open = path.find('{'); open != std::string::npos; open = path.find('{'))
    path.replace(open, path.find('}') - open + 1, "demo");
  return path;
}

std::string host_line(int port) {
  return "Host: 127.0.0.1:" + std::to_string(port) + "\r\n";
}

std::string raw(int port, const std::string& bytes) {
  const RawClient client(port);
  EXPECT_TRUE(client.send(bytes));
  return client.read_all();
}

TEST(Security, AnUnpairedDeviceGetsNothing) {
  Bench bench(remote());
  const int port = bench.bench->port();
  for (const Route& route : routes()) {
    if (route.caller == Caller::anyone) continue;
    const std::string answer = raw(port, std::string(route.method) + " " + concrete(route.path) +
                                             " HTTP/1.1\r\n" + host_line(port) + "Connection: close\r\n\r\n");
    EXPECT_EQ(status_in(answer), 401) << route.method << " " << route.path;
    EXPECT_EQ(answer.find("demo.graft"), std::string::npos);
    EXPECT_EQ(answer.find(bench.folder.path()), std::string::npos);
  }
  const auto page = bench.client->Get("/");
  EXPECT_EQ(page->status, 401);
  EXPECT_NE(page->body.find("Pair this device"), std::string::npos);
  EXPECT_EQ(bench.client->Get("/pair.js")->status, 200);
  EXPECT_EQ(bench.client->Get("/app.js")->status, 401);
  EXPECT_EQ(bench.client->Get("/no/such/thing")->status, 401);
}

TEST(Security, APairedDeviceIsLetInByItsCookieOnly) {
  Bench bench(remote());
  const Token token = bench.bench->pairing().new_token({steady_seconds(), seconds_now()});
  const auto paired = bench.client->Post("/api/pair", Json{{"token", token.text}}.dump(), "application/json");
  ASSERT_TRUE(paired);
  ASSERT_EQ(paired->status, 204);
  const std::string set = paired->get_header_value("Set-Cookie");
  for (const char* part : {"HttpOnly", "SameSite=Strict", "Path=/"})
    EXPECT_NE(set.find(part), std::string::npos) << set;
  const std::string cookie = set.substr(0, set.find(';'));
  const auto session = bench.client->Get("/api/session", {{"Cookie", "other=1; " + cookie}});
  ASSERT_EQ(session->status, 200);
  EXPECT_EQ(Json::parse(session->body)["device"], "computer 1");
  EXPECT_EQ(Json::parse(session->body)["loopback"], false);
  EXPECT_EQ(Json::parse(session->body)["folder"], "");
  EXPECT_EQ(bench.client->Get("/api/session")->status, 401);
  std::string altered = cookie;
  altered.back() = altered.back() == '0' ? '1' : '0';
  EXPECT_EQ(bench.client->Get("/api/session", {{"Cookie", altered}})->status, 401);
  EXPECT_EQ(bench.client->Get("/api/join", {{"Cookie", cookie}})->status, 403);
}

TEST(Security, AThousandWrongTokens) {
  Bench bench(remote());
  int wrong = 0;
  int blocked = 0;
  for (int i = 0; i < 1000; ++i) {
    const auto answer = bench.client->Post("/api/pair", Json{{"token", "wrong" + std::to_string(i)}}.dump(),
                                           "application/json");
    ASSERT_TRUE(answer);
    if (answer->status == 401) ++wrong;
    if (answer->status == 429) {
      ++blocked;
      EXPECT_GT(std::stoi(answer->get_header_value("Retry-After")), 0);
    }
  }
  EXPECT_EQ(wrong, bad_tokens_a_minute);
  EXPECT_EQ(blocked, 1000 - bad_tokens_a_minute);
}

TEST(Security, AForeignHostIsRefused) {
  Bench bench;
  const int port = bench.bench->port();
  const auto ask = [&](const std::string& hosts) {
    return status_in(raw(port, "GET /api/grafts HTTP/1.1\r\n" + hosts + "Connection: close\r\n\r\n"));
  };
  const std::string p = std::to_string(port);
  EXPECT_EQ(ask("Host: 127.0.0.1:" + p + "\r\n"), 200);
  EXPECT_EQ(ask("Host: LocalHost:" + p + "\r\n"), 200);
  EXPECT_EQ(ask("Host: [::1]:" + p + "\r\n"), 200);
  for (const std::string& host :
       {std::string("evil.example:") + p, std::string("127.0.0.1"), std::string("127.0.0.1:1"),
        std::string("127.0.0.1.evil.example:") + p, "localhost:" + p + ".evil.example",
        std::string("192.168.1.2:") + p, std::string()})
    EXPECT_EQ(ask("Host: " + host + "\r\n"), 403) << host;
  EXPECT_EQ(ask(""), 403);
  EXPECT_EQ(ask(host_line(port) + "Host: evil.example\r\n"), 403);
}

TEST(Security, AForeignPageIsRefused) {
  Bench bench;
  bench.make_demo();
  const std::string own = "http://127.0.0.1:" + std::to_string(bench.bench->port());
  const auto post = [&](const httplib::Headers& headers) {
    return bench.client->Post("/api/grafts/demo/plan/propose", headers, "{}", "application/json")->status;
  };
  EXPECT_EQ(post({{"Origin", own}, {"Sec-Fetch-Site", "same-origin"}}), 200);
  EXPECT_EQ(post({{"Origin", "http://evil.example"}}), 403);
  EXPECT_EQ(post({{"Origin", "null"}}), 403);
  EXPECT_EQ(post({{"Origin", "https" + own.substr(4)}}), 403);
  EXPECT_EQ(post({{"Origin", own + ".evil.example"}}), 403);
  EXPECT_EQ(post({{"Sec-Fetch-Site", "cross-site"}}), 403);
  EXPECT_EQ(post({{"Sec-Fetch-Site", "same-site"}}), 403);
  EXPECT_EQ(post({{"Sec-Fetch-Site", "none"}}), 403);
  const auto get = [&](const char* path, const httplib::Headers& headers) {
    return bench.client->Get(path, headers)->status;
  };
  EXPECT_EQ(get("/api/grafts", {{"Sec-Fetch-Site", "cross-site"}}), 403);
  EXPECT_EQ(get("/api/grafts", {{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Mode", "navigate"}}), 403);
  EXPECT_EQ(get("/", {{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Mode", "navigate"}}), 200);
  EXPECT_EQ(get("/", {{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Mode", "no-cors"}}), 403);
  // A form of another page cannot send this type without asking first, and is never received yes.
  EXPECT_EQ(bench.client->Post("/api/grafts", "{}", "text/plain")->status, 415);
  EXPECT_EQ(bench.client->Options("/api/grafts")->status, 405);
}

TEST(Security, NoPathLeadsOutOfTheFolder) {
  Bench bench;
  bench.make_demo();
  write_bytes("/dev/shm/loomgraft-outside.graft", "secret");
  const int port = bench.bench->port();
  for (const char* path :
       {"/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc%2fpasswd", "//etc/passwd",
        "/api/grafts/..%2floomgraft-outside", "/api/grafts/%2e%2e%2floomgraft-outside",
        "/api/grafts/../loomgraft-outside", "/api/grafts/demo%00", "/api/grafts/.loomgraft-devices"}) {
    const std::string answer = raw(
        port, std::string("GET ") + path + " HTTP/1.1\r\n" + host_line(port) + "Connection: close\r\n\r\n");
    EXPECT_TRUE(status_in(answer) == 404 || status_in(answer) == 400) << path << " " << answer.substr(0, 60);
    EXPECT_EQ(answer.find("root:"), std::string::npos) << path;
    EXPECT_EQ(answer.find("secret"), std::string::npos) << path;
  }
  std::filesystem::remove("/dev/shm/loomgraft-outside.graft");
}

TEST(Security, WhatIsTooLargeIsNotRead) {
  Bench bench;
  bench.make_demo();
  const int port = bench.bench->port();
  const auto announce = [&](const std::string& path, const std::string& fields) {
    return raw(port, "POST " + path + " HTTP/1.1\r\n" + host_line(port) +
                         "Content-Type: application/json\r\n" + fields + "\r\n");
  };
  EXPECT_EQ(status_in(announce("/api/grafts/demo/readings", "Content-Length: 16385\r\n")), 413);
  EXPECT_EQ(status_in(announce("/api/tables", "Content-Length: 99999999999\r\n")), 413);
  EXPECT_EQ(status_in(announce("/api/tables", "Content-Length: 99999999999999999999999\r\n")), 400);
  EXPECT_EQ(status_in(announce("/api/tables", "Content-Length: -1\r\n")), 400);
  EXPECT_EQ(status_in(announce("/api/tables", "Transfer-Encoding: chunked\r\n")), 411);
  EXPECT_EQ(status_in(announce("/api/tables", "Content-Length: 3\r\nContent-Length: 5\r\n")), 411);
  EXPECT_EQ(status_in(announce("/api/tables", "Content-Encoding: gzip\r\nContent-Length: 3\r\n")), 415);
  const std::string head = "GET /api/session HTTP/1.1\r\n" + host_line(port);
  EXPECT_EQ(status_in(raw(port, head + "X-Long: " + std::string(20'000, 'x'))), 431);
  std::string many = head;
  for (int i = 0; i < 3000; ++i) many += "X: y\r\n";
  EXPECT_EQ(status_in(raw(port, many)), 431);
  EXPECT_EQ(status_in(raw(port, "GET /" + std::string(9'000, 'x') + " HTTP/1.1\r\n" + host_line(port) +
                                    "Connection: close\r\n\r\n")),
            414);
  EXPECT_EQ(bench.get("/api/session")["paired"], true);
}

// What follows a head that was refused is not taken for a request.
TEST(Security, ABodyIsNeverARequest) {
  Bench bench;
  const int port = bench.bench->port();
  const std::string hidden = "POST /api/grafts HTTP/1.1\r\n" + host_line(port) +
                             "Content-Type: application/json\r\nContent-Length: 14\r\n\r\n{\"name\":\"van\"}";
  for (const std::string& fields :
       {std::string("Content-Type: text/plain\r\nContent-Length: ") + std::to_string(hidden.size()) + "\r\n",
        std::string("Transfer-Encoding: chunked\r\n")}) {
    raw(port, "POST /api/tables HTTP/1.1\r\n" + host_line(port) + fields + "\r\n" + hidden);
    raw(port, "GET /api/session HTTP/1.1\r\n" + host_line(port) + fields + "\r\n" + hidden);
  }
  EXPECT_TRUE(bench.get("/api/grafts")["grafts"].empty());
}

ServeOptions hasty() {
  ServeOptions options;
  options.listener.stream.idle = std::chrono::milliseconds(300);
  options.listener.stream.head_time = std::chrono::milliseconds(300);
  options.listener.stream.body_grace = std::chrono::milliseconds(300);
  return options;
}

TEST(Security, ASlowSenderIsCutOff) {
  Bench bench(hasty());
  const int port = bench.bench->port();
  const auto before = std::chrono::steady_clock::now();
  EXPECT_EQ(status_in(raw(port, "GET /api/session HTTP/1.1\r\nHost: ")), 408);
  EXPECT_EQ(raw(port, ""), "");
  const std::string begun = "POST /api/tables HTTP/1.1\r\n" + host_line(port) +
                            "Content-Type: application/json\r\nContent-Length: 1000000\r\n\r\n{\"text\":";
  EXPECT_NE(status_in(raw(port, begun)), 200);
  EXPECT_LT(std::chrono::steady_clock::now() - before, std::chrono::seconds(5));
}

// One byte now and then keeps a plain time-out from ever running out.
TEST(Security, ATrickleIsCutOff) {
  Bench bench(hasty());
  const int port = bench.bench->port();
  const RawClient client(port);
  const auto begun = std::chrono::steady_clock::now();
  auto next = begun;
  client.send("GET / HTTP/1.1\r\nX: ");
  bool open = true;
  while (open && std::chrono::steady_clock::now() - begun < std::chrono::seconds(10)) {
    if (std::chrono::steady_clock::now() < next) continue;
    next += std::chrono::milliseconds(50);
    open = client.send("y");
  }
  EXPECT_FALSE(open);
}

TEST(Security, IdleConnectionsDoNotTakeTheThreads) {
  ServeOptions options;
  options.listener.threads = 4;
  options.listener.stream.idle = std::chrono::milliseconds(200);
  Bench bench(options);
  std::vector<std::unique_ptr<RawClient>> idle;
  for (int i = 0; i < 20; ++i) idle.push_back(std::make_unique<RawClient>(bench.bench->port()));
  bench.client->set_read_timeout(20, 0);
  EXPECT_EQ(bench.get("/api/session")["paired"], true);
}

std::string pair(Bench& bench) {
  const Token token = bench.bench->pairing().new_token({steady_seconds(), seconds_now()});
  const auto paired = bench.client->Post("/api/pair", Json{{"token", token.text}}.dump(), "application/json");
  const std::string set = paired ? paired->get_header_value("Set-Cookie") : std::string();
  return set.substr(0, set.find(';'));
}

TEST(Security, SlowHeadsKeepNoPairedDeviceOut) {
  ServeOptions options = remote();
  options.listener.each_remote = 6;
  options.listener.all_remotes = 6;
  Bench bench(options);
  const httplib::Headers headers{{"Cookie", pair(bench)}};
  const auto first = bench.client->Get("/api/session", headers);  // its connection is known from here on
  ASSERT_TRUE(first);
  std::vector<std::unique_ptr<RawClient>> slow;
  for (int i = 0; i < 40; ++i) {
    slow.push_back(std::make_unique<RawClient>(bench.bench->port()));
    slow.back()->send("GET / HTTP/1.1\r\nX: ");
  }
  const auto second = bench.client->Get("/api/session", headers);
  ASSERT_TRUE(second) << httplib::to_string(second.error());
  EXPECT_EQ(second->status, 200) << "on a connection that it has";
  httplib::Client fresh("127.0.0.1", bench.bench->port());
  const auto answer = fresh.Get("/api/session", headers);
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->status, 200) << "on a new one";
}

TEST(Security, ThreeHundredIdleConnectionsSlowNobody) {
  Bench bench;
  std::vector<std::unique_ptr<RawClient>> idle;
  for (int i = 0; i < 300; ++i) idle.push_back(std::make_unique<RawClient>(bench.bench->port()));
  bench.client->set_read_timeout(2, 0);
  for (int i = 0; i < 20; ++i) EXPECT_EQ(bench.get("/api/session")["paired"], true);
}

TEST(Security, ADeviceEndsItsOwnSessionAndNoOther) {
  Bench bench(remote());
  const httplib::Headers first{{"Cookie", pair(bench)}};
  const httplib::Headers second{{"Cookie", pair(bench)}};
  const Json devices = Json::parse(bench.client->Get("/api/devices", first)->body)["devices"];
  ASSERT_EQ(devices.size(), 2U);
  EXPECT_EQ(devices[0]["this"], true);
  EXPECT_EQ(devices[1]["this"], false);
  EXPECT_EQ(bench.client->Delete("/api/devices/d2", first)->status, 403);
  EXPECT_EQ(bench.client->Delete("/api/devices/d1", first)->status, 204);
  EXPECT_EQ(bench.client->Get("/api/session", first)->status, 401);
  const auto left = bench.client->Post("/api/leave", second, "", "application/json");
  ASSERT_TRUE(left);
  EXPECT_EQ(left->status, 204);
  EXPECT_NE(left->get_header_value("Set-Cookie").find("Max-Age=0"), std::string::npos);
  EXPECT_EQ(bench.client->Get("/api/session", second)->status, 401);
}

TEST(Security, ThisMachineRemovesAnyDevice) {
  Bench bench;
  EXPECT_TRUE(bench.get("/api/devices")["devices"].empty());
  const Moment now{steady_seconds(), seconds_now()};
  bench.bench->pairing().exchange(bench.bench->pairing().new_token(now).text, "a", "phone", now);
  ASSERT_EQ(bench.get("/api/devices")["devices"].size(), 1U);
  EXPECT_EQ(bench.client->Delete("/api/devices/d1")->status, 204);
  EXPECT_EQ(bench.client->Delete("/api/devices/d1")->status, 404);
}

TEST(Security, ADocumentThatGrowsByCopiesIsRefused) {
  Bench bench;
  bench.make_demo();
  Json copies = Json::array();
  copies.push_back({{"op", "add"}, {"path", "/title"}, {"value", Json::array({"x"})}});
  for (int i = 0; i < 40; ++i) copies.push_back({{"op", "copy"}, {"from", "/title"}, {"path", "/title/0"}});
  bench.client->set_read_timeout(60, 0);
  EXPECT_EQ(code_of(bench.patch("demo", 1, copies, 413)), "too-large");
  EXPECT_EQ(bench.get("/api/session")["paired"], true);
}

TEST(Security, NonsenseIsNotTakenIntoADocument) {
  Bench bench;
  bench.make_demo();
  const auto put = [](const char* path, const Json& value) {
    return Json::array({{{"op", "add"}, {"path", path}, {"value", value}}});
  };
  EXPECT_EQ(code_of(bench.patch("demo", 1, put("/wires/0/area_mm2", -1), 400)), "bad-size");
  EXPECT_EQ(code_of(bench.patch("demo", 1, put("/vehicle/supply_v", -5), 400)), "bad-size");
  EXPECT_EQ(code_of(bench.patch("demo", 1, put("/wires/0/signal", "a\u202eb"), 400)), "unseen-characters");
  EXPECT_EQ(code_of(bench.patch("demo", 1, put("/title", std::string("a\0b", 3)), 400)), "unseen-characters");
  Json nested = "x";
  for (int i = 0; i < 100; ++i) nested = Json::array({nested});
  EXPECT_EQ(code_of(bench.post("/api/grafts", {{"name", nested}}, 400)), "nested-too-deep");
}

TEST(Security, HeadsThatTwoProgramsCouldReadDifferentlyAreRefused) {
  Bench bench;
  const int port = bench.bench->port();
  const auto status = [&](const std::string& lines) {
    return status_in(
        raw(port, "GET /api/session HTTP/1.1\r\n" + host_line(port) + lines + "Connection: close\r\n\r\n"));
  };
  EXPECT_EQ(status("X-Fine: yes\r\n"), 200);
  EXPECT_EQ(status("X-Blank : before the colon\r\n"), 400);
  EXPECT_EQ(status("X-Folded: one\r\n two\r\n"), 400);
  EXPECT_EQ(status(std::string("X-Nul: a\0b\r\n", 14)), 400);
  EXPECT_EQ(status("X-Alone: a\rb\r\n"), 400);
  EXPECT_EQ(status("no colon\r\n"), 400);
  EXPECT_EQ(status(": no name\r\n"), 400);
}

TEST(Security, NoNameAddsAHeaderLine) {
  Bench bench;
  bench.make_demo();
  const auto renamed = bench.client->Patch(
      "/api/grafts/demo", {{"If-Match", "\"r1\""}, {"X-Author", "Ann%0d%0aSet-Cookie:%20x=1%0d%0a%0d%0a<b>"}},
      set_title("x\r\nSet-Cookie: y=1").dump(), "application/json-patch+json");
  ASSERT_TRUE(renamed);
  EXPECT_EQ(renamed->status, 200);
  EXPECT_FALSE(renamed->has_header("Set-Cookie"));
  const Json history = bench.get("/api/grafts/demo/history?count=1")["revisions"];
  EXPECT_EQ(history[0]["author"], "AnnSet-Cookie: x=1<b>");
  const int port = bench.bench->port();
  for (const char* path :
       {"/api/grafts/a%0d%0aSet-Cookie:%20x=1/export", "/api/grafts/demo/export?x=%0d%0aSet-Cookie:%20x=1",
        "/api/events?graft=%0d%0aSet-Cookie:%20x=1"}) {
    const std::string answer = raw(
        port, std::string("GET ") + path + " HTTP/1.1\r\n" + host_line(port) + "Connection: close\r\n\r\n");
    EXPECT_EQ(answer.substr(0, answer.find("\r\n\r\n")).find("Set-Cookie"), std::string::npos) << path;
  }
}

TEST(Security, ManyRangesAreNotMultiplied) {
  Bench bench;
  std::string ranges = "bytes=0-";
  for (int i = 0; i < 500; ++i) ranges += ",0-";
  const auto whole = bench.client->Get("/");
  const auto answer = bench.client->Get("/", {{"Range", ranges}});
  ASSERT_TRUE(answer);
  EXPECT_LE(answer->body.size(), whole->body.size());
}

TEST(Security, JunkIsNoEnd) {
  Bench bench(hasty());
  const int port = bench.bench->port();
  for (const std::string& junk :
       {std::string("\r\n\r\n"), std::string("\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 11),
        std::string("GET\r\n\r\n"), std::string("GET / HTTP/9.9\r\n\r\n"),
        std::string(5000, '\0') + "\r\n\r\n", std::string("GET / HTTP/1.1\nHost: x\n\n")})
    raw(port, junk);
  for (const char* body : {"", "{", "[[[[", "null", "\"\\ud800\"", "{\"name\":\"\\u0000\"}"}) {
    const auto answer = bench.client->Post("/api/grafts", body, "application/json");
    ASSERT_TRUE(answer);
    EXPECT_EQ(answer->status, 400) << body;
  }
  std::string deep(100'000, '[');
  EXPECT_EQ(bench.client->Post("/api/tables", deep, "application/json")->status, 400);
  EXPECT_EQ(bench.get("/api/session")["paired"], true);
}

}  // namespace
}  // namespace loomgraft::serve_security_test
