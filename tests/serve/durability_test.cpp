// Through HTTP as well, nothing that was acknowledged is lost or doubled, however the program ends.
#include <SQLiteCpp/SQLiteCpp.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <csignal>
#include <map>
#include <random>
#include <set>
#include <thread>

#include "tests/rounds.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_durability_test {
namespace {

// The program itself, started on a folder and a free port.
class Program {
 public:
  explicit Program(const std::string& folder) {
    int ends[2] = {-1, -1};
    if (::pipe2(ends, O_CLOEXEC) != 0) std::abort();
    pid_ = ::fork();
    if (pid_ == 0) {
      ::dup2(ends[1], STDOUT_FILENO);
      const std::string program = std::string(LOOMGRAFT_BUILD) + "/loomgraft";
      ::execl(program.c_str(), program.c_str(), "serve", folder.c_str(), "--port", "0", nullptr);
      ::_exit(127);
    }
    ::close(ends[1]);
    std::string text;
    char c = 0;
    while (text.find("Ctrl+C") == std::string::npos && ::read(ends[0], &c, 1) == 1) text += c;
    ::close(ends[0]);
    const std::size_t at = text.find("127.0.0.1:");
    if (at != std::string::npos) port_ = std::stoi(text.substr(at + 10));
  }
  ~Program() { end(SIGKILL); }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  // The exit status, or -1 where a signal ended it.
  int end(int signal) {
    if (pid_ <= 0) return -1;
    ::kill(pid_, signal);
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  void kill_now() const { ::kill(pid_, SIGKILL); }
  int port() const { return port_; }

 private:
  pid_t pid_ = -1;
  int port_ = 0;
};

struct Said {
  std::set<int> readings;
  std::map<std::int64_t, std::string> titles;
  std::set<int> unsure;  // sent without an answer
};

Json reading(int number) {
  return {{"id", "r" + std::to_string(number)}, {"test", "t"}, {"value", number}, {"unit", "V"}};
}

std::unique_ptr<httplib::Client> client_of(const Program& program) {
  auto client = std::make_unique<httplib::Client>("127.0.0.1", program.port());
  client->set_tcp_nodelay(true);
  client->set_keep_alive(true);
  return client;
}

// Sends until nobody answers any more; what had no answer before is sent again first.
void send_until_killed(const Program& program, int next, Said& said) {
  const auto client = client_of(program);
  const auto send = [&](int number) {
    const auto answer = client->Post("/api/grafts/demo/readings", reading(number).dump(), "application/json");
    if (!answer) {
      said.unsure.insert(number);
      return false;
    }
    EXPECT_TRUE(answer->status == 201 || answer->status == 200) << answer->body;
    said.readings.insert(number);
    said.unsure.erase(number);
    return true;
  };
  for (const int number : std::set<int>(said.unsure)) {
    if (!send(number)) return;
  }
  for (;; ++next) {
    if (!send(next)) return;
    if (next % 4 != 0) continue;
    const auto document = client->Get("/api/grafts/demo");
    if (!document) return;
    const std::string title = "edit " + std::to_string(next);
    const auto answer = client->Patch("/api/grafts/demo", {{"If-Match", document->get_header_value("ETag")}},
                                      set_title(title).dump(), "application/json-patch+json");
    if (!answer) return;
    EXPECT_EQ(answer->status, 200) << answer->body;
    said.titles[Json::parse(answer->body)["revision"].get<std::int64_t>()] = title;
  }
}

TEST(ServedDurability, FiftyKills) {
  const ScratchFolder folder;
  held(GraftFile::create(folder / "demo.graft", Graft{}, stamp_of("Ann")));
  std::mt19937 random(20260302);
  Said said;
  int next = 0;
  for (int round = 0; round < samples::rounds(50); ++round) {
    const Program program(folder.path());
    ASSERT_GT(program.port(), 0);
    std::thread sender([&] { send_until_killed(program, next, said); });
    // Watched from outside: the kill falls behind so many entries in the file and a bit of work.
    GraftFile file = held(GraftFile::open(folder / "demo.graft", {.access = Access::read, .check = false}));
    const std::int64_t until = held(file.last_sequence()) + std::uniform_int_distribution<int>(1, 25)(random);
    while (held(file.last_sequence()) < until) std::this_thread::yield();
    volatile unsigned spin = std::uniform_int_distribution<unsigned>(0, 400'000)(random);
    while (spin > 0) spin = spin - 1;
    program.kill_now();
    sender.join();
    next = said.readings.empty() ? 0 : *said.readings.rbegin() + 1;
    if (!said.unsure.empty()) next = std::max(next, *said.unsure.rbegin() + 1);
  }
  SQLite::Database database(folder / "demo.graft", SQLite::OPEN_READONLY);
  EXPECT_EQ(database.execAndGet("PRAGMA integrity_check").getString(), "ok");
  GraftFile file = held(GraftFile::open(folder / "demo.graft"));
  std::multiset<int> stored;
  for (const Reading& entry : held(file.readings())) stored.insert(static_cast<int>(entry.value));
  EXPECT_GT(said.readings.size(), samples::rounds(200U));
  EXPECT_GT(said.titles.size(), samples::rounds(20U));
  for (const int number : said.readings) EXPECT_EQ(stored.count(number), 1U) << number;
  for (const int number : stored) EXPECT_EQ(stored.count(number), 1U) << number;
  for (const auto& [revision, title] : said.titles)
    EXPECT_EQ(held(file.document_at(revision))->graft.title, title) << revision;
}

TEST(ServedDurability, ASignalEndsTheProgramInOrder) {
  const ScratchFolder folder;
  held(GraftFile::create(folder / "demo.graft", Graft{}, stamp_of("Ann")));
  for (const int signal : {SIGINT, SIGTERM}) {
    Program program(folder.path());
    ASSERT_GT(program.port(), 0);
    const RawClient listener(program.port());
    listener.send("GET /api/events?graft=demo HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(program.port()) +
                  "\r\n\r\n");
    listener.read_until(": listening");
    EXPECT_EQ(program.end(signal), 0);
  }
}

TEST(ServedDurability, AFullDiskIsSaidAndLosesNothing) {
  Bench bench;
  bench.make_demo();
  const rlimit before = [] {
    rlimit limit{};
    ::getrlimit(RLIMIT_FSIZE, &limit);
    return limit;
  }();
  ::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{400'000, before.rlim_max};
  ::setrlimit(RLIMIT_FSIZE, &small);
  int number = 0;
  int status = 201;
  std::string code;
  while (status == 201 && number < 20'000) {
    const auto answer =
        bench.client->Post("/api/grafts/demo/readings", reading(number).dump(), "application/json");
    status = answer ? answer->status : 0;
    if (status == 201) ++number;
    if (answer && status != 201) code = code_of(Json::parse(answer->body));
  }
  ::setrlimit(RLIMIT_FSIZE, &before);
  EXPECT_TRUE(status == 507 || status == 500) << status;
  EXPECT_TRUE(code == "disk-full" || code == "not-written") << code;
  EXPECT_GT(number, 10);
  EXPECT_EQ(bench.get("/api/grafts/demo/readings")["readings"].size(), static_cast<std::size_t>(number));
  bench.post("/api/grafts/demo/readings", reading(number), 201);
}

}  // namespace
}  // namespace loomgraft::serve_durability_test
