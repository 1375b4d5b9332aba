// A workbench on a folder of its own, and a client of it.
#pragma once

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <httplib.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "serve/workbench.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft {

using Json = nlohmann::json;

struct Bench {
  explicit Bench(ServeOptions chosen = {}) : options(std::move(chosen)) {
    options.path = folder.path();
    options.port = 0;
    start();
  }

  void start() {
    bench = held(Workbench::start(options));
    client = std::make_unique<httplib::Client>("127.0.0.1", bench->port());
    client->set_tcp_nodelay(true);
    client->set_keep_alive(true);
  }
  void restart() {
    client.reset();
    bench.reset();
    start();
  }

  Json get(const std::string& path, int status = 200) { return json_of(client->Get(path), path, status); }
  Json post(const std::string& path, const Json& body, int status = 200) {
    return json_of(client->Post(path, body.dump(), "application/json"), path, status);
  }
  Json patch(const std::string& graft, std::int64_t revision, const Json& body, int status = 200,
             const std::string& author = "bench") {
    return json_of(
        client->Patch("/api/grafts/" + graft,
                      {{"If-Match", "\"r" + std::to_string(revision) + "\""}, {"X-Author", author}},
                      body.dump(), "application/json-patch+json"),
        graft, status);
  }
  void make_demo(const std::string& name = "demo") {
    post("/api/grafts", {{"name", name}, {"title", ""}, {"example", true}}, 201);
  }

  static Json json_of(const httplib::Result& result, const std::string& what, int status) {
    if (!result) {
      ADD_FAILURE() << what << ": no answer, " << httplib::to_string(result.error());
      return Json::object();
    }
    EXPECT_EQ(result->status, status) << what << ": " << result->body.substr(0, 400);
    return result->body.empty() ? Json::object() : Json::parse(result->body, nullptr, false);
  }

  ScratchFolder folder;
  ServeOptions options;
  std::unique_ptr<Workbench> bench;
  std::unique_ptr<httplib::Client> client;
};

inline std::string code_of(const Json& answer) {
  if (!answer.is_object() || !answer.contains("problems") || answer["problems"].empty()) return "";
  return answer["problems"][0]["code"].get<std::string>();
}

inline Json set_title(const std::string& title) {
  return Json::array({{{"op", "add"}, {"path", "/title"}, {"value", title}}});
}

// Bytes as no client library would send them.
class RawClient {
 public:
  explicit RawClient(int port) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    joined_ = ::connect(socket_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0;
    const timeval timeout{20, 0};
    ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &timeout, sizeof timeout);
  }
  ~RawClient() { ::close(socket_); }
  RawClient(const RawClient&) = delete;
  RawClient& operator=(const RawClient&) = delete;

  bool send(const std::string& bytes) const {
    return joined_ &&
           ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(bytes.size());
  }
  // What comes until `end` stands in it, or until the other side hangs up.
  std::string read_until(const std::string& end) const {
    std::string bytes;
    char buffer[4096];
    // An event stream never ends, so reading stops after the timeout.
    const auto last = std::chrono::steady_clock::now() + std::chrono::seconds(20);
    while (std::chrono::steady_clock::now() < last && (end.empty() || bytes.find(end) == std::string::npos)) {
      const ssize_t count = ::recv(socket_, buffer, sizeof buffer, 0);
      if (count <= 0) break;
      bytes.append(buffer, static_cast<std::size_t>(count));
    }
    return bytes;
  }
  std::string read_all() const { return read_until(""); }

 private:
  int socket_;
  bool joined_ = false;
};

// The status of the first answer in `bytes`; 0 where there is none.
inline int status_in(const std::string& bytes) {
  return bytes.starts_with("HTTP/1.1 ") ? std::stoi(bytes.substr(9, 3)) : 0;
}

}  // namespace loomgraft
