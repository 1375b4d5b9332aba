// The table of routes, its documentation, and that each route answers.
#include "serve/routes.h"

#include <gtest/gtest.h>

#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "tests/serve/bench.h"

namespace loomgraft::serve_routes_test {
namespace {

using namespace loomgraft::serve;

std::set<std::string> documented() {
  std::ifstream in(std::string(LOOMGRAFT_ROOT) + "/docs/api.md");
  std::stringstream text;
  text << in.rdbuf();
  const std::string all = text.str();
  const std::regex route("`(GET|POST|PUT|PATCH|DELETE) (/[^`? ]*)");
  std::set<std::string> found;
  for (std::sregex_iterator it(all.begin(), all.end(), route), end; it != end; ++it)
    found.insert((*it)[1].str() + " " + (*it)[2].str());
  return found;
}

std::set<std::string> served() {
  std::set<std::string> found;
  for (const Route& route : routes()) found.insert(std::string(route.method) + " " + route.path);
  return found;
}

TEST(Routes, EachIsDocumentedAndNoOther) {
  EXPECT_EQ(documented(), served());
}

Call call_of(const std::string& method, const std::string& path) {
  Call call;
  call.method = method;
  call.path = path;
  return call;
}

TEST(Routes, NamesAreDecodedAfterTheSplit) {
  Call call = call_of("GET", "/api/grafts/my%20van/drawings/face/found.C2");
  ASSERT_NE(find_route(call).route, nullptr);
  EXPECT_EQ(call.names, (std::vector<std::string>{"my van", "found.C2"}));
}

TEST(Routes, NoNameLeadsElsewhere) {
  for (const char* path : {"/api/grafts/..", "/api/grafts/%2e%2e", "/api/grafts/a%2fb", "/api/grafts/a%5cb",
                           "/api/grafts/a%00b", "/api/grafts/%", "/api/grafts/%zz", "/api/grafts/",
                           "/..%2f..%2fetc%2fpasswd", "/../../etc/passwd", "//etc/passwd", "/a%0d%0ab"}) {
    Call call = call_of("GET", path);
    EXPECT_EQ(find_route(call).route, nullptr) << path;
  }
}

TEST(Routes, AnotherMethodIsToldWhichFit) {
  Call call = call_of("PUT", "/api/grafts/van");
  EXPECT_EQ(find_route(call).allowed, "GET, PATCH");
  Bench bench;
  const auto answer = bench.client->Put("/api/grafts/van", "{}", "application/json");
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->status, 405);
  EXPECT_EQ(answer->get_header_value("Allow"), "GET, PATCH");
}

// Every route that reads, on a graft that has what it asks for.
TEST(Routes, EachOneAnswers) {
  Bench bench;
  bench.make_demo();
  const std::string g = "/api/grafts/demo";
  const std::set<std::string> elsewhere{"/api/events",        // a stream: events_test.cpp
                                        "/api/join",          // needs --lan
                                        "/api/jobs/{job}",    // needs a job
                                        "/loomgraft-ca.crt",  // needs --tls
                                        "/{file}",
                                        "/api/grafts/{graft}/photos/{photo}",
                                        "/api/grafts/{graft}/copies/{copy}"};  // tests/attack
  for (const Route& route : routes()) {
    if (std::string(route.method) != "GET" || elsewhere.contains(route.path)) continue;
    std::string path = route.path;
    const auto put = [&](const std::string& name, const std::string& value) {
      if (const auto at = path.find(name); at != std::string::npos) path.replace(at, name.size(), value);
    };
    put("{graft}", "demo");
    put("{connector}", "found.C2");
    if (path.ends_with("time_current")) path += "?wire=n_y20_1";
    const auto answer = bench.client->Get(path);
    ASSERT_TRUE(answer) << path;
    EXPECT_TRUE(answer->status == 200 || answer->status == 202) << path << " " << answer->status;
    EXPECT_EQ(answer->get_header_value("X-Content-Type-Options"), "nosniff") << path;
    EXPECT_NE(answer->get_header_value("Content-Security-Policy").find("default-src 'none'"),
              std::string::npos);
    EXPECT_EQ(answer->get_header_value("Referrer-Policy"), "no-referrer") << path;
    EXPECT_EQ(answer->get_header_value("X-Frame-Options"), "DENY") << path;
    EXPECT_FALSE(answer->get_header_value("Cache-Control").empty()) << path;
    EXPECT_FALSE(answer->has_header("Access-Control-Allow-Origin")) << path;
  }
}

TEST(Routes, ThePageIsKeptByItsTag) {
  Bench bench;
  const auto page = bench.client->Get("/");
  ASSERT_TRUE(page);
  EXPECT_EQ(page->status, 200);
  EXPECT_EQ(page->get_header_value("Cache-Control"), "no-cache");
  const auto again = bench.client->Get("/", {{"If-None-Match", page->get_header_value("ETag")}});
  ASSERT_TRUE(again);
  EXPECT_EQ(again->status, 304);
  EXPECT_EQ(bench.client->Get("/no-such-file.js")->status, 404);
}

}  // namespace
}  // namespace loomgraft::serve_routes_test
