// What the workbench costs over HTTP: a kept report, durable readings from eight clients, an edit until
// another page hears of it, and an edit of a large graft until its verdict is new. Files stand beside the
// build, so that a sync is one of a real disk; each figure's median is printed beside its mean.
#include <arpa/inet.h>
#include <benchmark/benchmark.h>
#include <httplib.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <thread>

#include "loom/graft_json.h"
#include "serve/page_files.h"
#include "serve/workbench.h"

namespace loomgraft {
namespace {

using namespace loomgraft::serve;

using Clock = std::chrono::steady_clock;
using Json = nlohmann::json;

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "%s\n", why.c_str());
  std::abort();
}

template <class T>
T must(Stored<T> result) {
  if (result) return std::move(*result);
  give_up(result.error().front().message);
}

// The demo, with wires and their lamps added until there are `wires`.
Graft demo(std::size_t wires) {
  Graft graft = *graft_from_json(find_page_file("demo.json")->bytes, "demo").graft;
  for (std::size_t i = 0; graft.wires.size() < wires; ++i) {
    const std::string n = std::to_string(i);
    if (i % 40 == 0) {
      Connector plug;
      plug.id = plug.name = "extra" + std::to_string(i / 40);
      plug.view = View::wire_entry;
      plug.rows.emplace_back();
      plug.rows.back().pitch = millimetres(5);
      for (int c = 1; c <= 40; ++c) plug.rows.back().cavities.push_back(std::to_string(c));
      graft.connectors.push_back(std::move(plug));
    }
    Device lamp;
    lamp.id = lamp.name = "lamp" + n;
    lamp.kind = "lamp";
    graft.devices.push_back(std::move(lamp));
    Wire wire;
    wire.id = "extra_w" + n;
    wire.signal = "extra circuit " + n;
    wire.from = {"extra" + std::to_string(i / 40), std::to_string(i % 40 + 1)};
    wire.to = {"lamp" + n, "1"};
    wire.colour = {"YE", "BU", ""};
    wire.area = square_millimetres(0.75);
    wire.length = millimetres(1500);
    graft.wires.push_back(std::move(wire));
  }
  return graft;
}

struct Bench {
  explicit Bench(std::size_t wires) {
    folder = (std::filesystem::current_path() / "bench_serve").string();
    std::filesystem::remove_all(folder);
    std::filesystem::create_directory(folder);
    must(GraftFile::create(folder + "/van.graft", demo(wires), {"bench", "2026-03-01T10:00:00Z", ""}));
    ServeOptions options;
    options.path = folder;
    options.port = 0;
    server = must(Workbench::start(options));
  }
  ~Bench() {
    server.reset();
    std::filesystem::remove_all(folder);
  }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  std::unique_ptr<httplib::Client> client() const {
    auto made = std::make_unique<httplib::Client>("127.0.0.1", server->port());
    made->set_tcp_nodelay(true);
    made->set_keep_alive(true);
    return made;
  }

  std::string folder;
  std::unique_ptr<Workbench> server;
};

std::string body_of(const httplib::Result& answer, int status) {
  if (!answer) give_up("no answer");
  if (answer->status != status) give_up(answer->body);
  return answer->body;
}

// Edits the title on the revision it knows, and gives the one that came of it.
std::int64_t edit(httplib::Client& client, std::int64_t revision) {
  const Json patch =
      Json::array({{{"op", "add"}, {"path", "/title"}, {"value", "title " + std::to_string(revision)}}});
  const auto answer = client.Patch("/api/grafts/van", {{"If-Match", "\"r" + std::to_string(revision) + "\""}},
                                   patch.dump(), "application/json-patch+json");
  return Json::parse(body_of(answer, 200))["revision"];
}

// Waits for the report's job where there is one.
std::string report(httplib::Client& client, const std::string& path) {
  for (;;) {
    const auto answer = client.Get(path);
    if (!answer || answer->status != 202) return body_of(answer, 200);
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
}

class Medians {
 public:
  void begin() { begun_ = Clock::now(); }
  void end(benchmark::State& state) {
    const std::chrono::duration<double> took = Clock::now() - begun_;
    state.SetIterationTime(took.count());
    times_.push_back(took.count() * 1e3);
  }
  void show(benchmark::State& state) {
    std::sort(times_.begin(), times_.end());
    if (times_.empty()) return;
    state.counters["median_ms"] = times_[times_.size() / 2];
    state.counters["worst_ms"] = times_.back();
  }

 private:
  Clock::time_point begun_;
  std::vector<double> times_;
};

void kept_report(benchmark::State& state) {
  const Bench bench(static_cast<std::size_t>(state.range(0)));
  const auto client = bench.client();
  const std::string path = "/api/grafts/van/reports/compare";
  const std::string expected = report(*client, path);
  Medians medians;
  for (auto unused : state) {
    (void)unused;
    medians.begin();
    if (body_of(client->Get(path), 200) != expected) give_up("another report");
    medians.end(state);
  }
  medians.show(state);
}
BENCHMARK(kept_report)->Arg(98)->Arg(2000)->UseManualTime()->Unit(benchmark::kMillisecond);

void durable_readings(benchmark::State& state) {
  const Bench bench(98);
  const auto clients = static_cast<int>(state.range(0));
  constexpr int each = 100;
  int round = 0;
  for (auto unused : state) {
    (void)unused;
    std::vector<std::thread> threads;
    for (int sender = 0; sender < clients; ++sender) {
      threads.emplace_back([&bench, sender, round] {
        const auto client = bench.client();
        for (int i = 0; i < each; ++i) {
          const std::string id =
              std::to_string(round) + "-" + std::to_string(sender) + "-" + std::to_string(i);
          const Json reading{{"id", id}, {"test", "t"}, {"value", 0.5 * i}, {"unit", "V"}};
          body_of(client->Post("/api/grafts/van/readings", reading.dump(), "application/json"), 201);
        }
      });
    }
    for (std::thread& thread : threads) thread.join();
    ++round;
  }
  const std::int64_t sent = std::int64_t{round} * clients * each;
  state.SetItemsProcessed(sent);
  const Json all = Json::parse(body_of(bench.client()->Get("/api/grafts/van/readings"), 200));
  if (static_cast<std::int64_t>(all["readings"].size()) != sent) give_up("readings are missing");
}
BENCHMARK(durable_readings)->Arg(1)->Arg(8)->UseRealTime()->Unit(benchmark::kMillisecond);

class Listener {
 public:
  explicit Listener(int port) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const std::string ask =
        "GET /api/events?graft=van HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) + "\r\n\r\n";
    if (::connect(socket_, reinterpret_cast<sockaddr*>(&address), sizeof address) != 0 ||
        ::send(socket_, ask.data(), ask.size(), 0) != static_cast<ssize_t>(ask.size()))
      give_up("no stream");
    wait_for(": listening");
  }
  ~Listener() { ::close(socket_); }
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;

  void wait_for(const std::string& text) {
    char buffer[4096];
    while (heard_.find(text) == std::string::npos) {
      const ssize_t count = ::recv(socket_, buffer, sizeof buffer, 0);
      if (count <= 0) give_up("the stream ended");
      heard_.append(buffer, static_cast<std::size_t>(count));
    }
    heard_.clear();
  }

 private:
  int socket_;
  std::string heard_;
};

void edit_until_heard(benchmark::State& state) {
  const Bench bench(static_cast<std::size_t>(state.range(0)));
  const auto client = bench.client();
  Listener other(bench.server->port());
  std::int64_t revision = 1;
  Medians medians;
  for (auto unused : state) {
    (void)unused;
    medians.begin();
    revision = edit(*client, revision);
    other.wait_for("\"revision\":" + std::to_string(revision));
    medians.end(state);
  }
  medians.show(state);
}
BENCHMARK(edit_until_heard)->Arg(98)->Arg(2000)->UseManualTime()->Unit(benchmark::kMillisecond);

void edit_until_report(benchmark::State& state, const std::string& path) {
  const Bench bench(static_cast<std::size_t>(state.range(0)));
  const auto client = bench.client();
  std::int64_t revision = 1;
  Medians medians;
  for (auto unused : state) {
    (void)unused;
    medians.begin();
    revision = edit(*client, revision);
    report(*client, path);
    medians.end(state);
  }
  medians.show(state);
}
BENCHMARK_CAPTURE(edit_until_report, verdict, "/api/grafts/van/reports/compare")
    ->Arg(98)
    ->Arg(2000)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(edit_until_report, design, "/api/grafts/van/reports/design")
    ->Arg(98)
    ->Arg(2000)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
