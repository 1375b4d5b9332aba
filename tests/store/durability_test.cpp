// What was acknowledged is there, whatever happens to the process, the disk or the other process.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <set>

#include "store/graft_file.h"
#include "store/reading_queue.h"
#include "tests/store/child_process.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_durability_test {
namespace {

using Json = nlohmann::json;

Reading numbered(int number) {
  return {"r" + std::to_string(number), "t", static_cast<double>(number), "V", "phone", ""};
}

std::string set_title(const std::string& title) {
  return Json::array({{{"op", "add"}, {"path", "/title"}, {"value", title}}}).dump();
}

std::string integrity_of(const std::string& path) {
  SQLite::Database database(path, SQLite::OPEN_READONLY);
  return database.execAndGet("PRAGMA integrity_check").getString();
}

// Sends readings from `next` on, eight at a time through the queue, and an edit after each eight; says each
// thing once it is acknowledged.
void send_until_killed(const std::string& path, int next, int to) {
  auto file = GraftFile::open(path);
  auto queue = ReadingQueue::open(path);
  if (!file || !queue) return say(to, "failed " + (file ? code_of(queue) : code_of(file)));
  for (;; next += 8) {
    std::vector<std::future<Stored<Appended>>> answers;
    for (int i = 0; i < 8; ++i) answers.push_back(queue->add(numbered(next + i)));
    for (int i = 0; i < 8; ++i) {
      const auto answer = answers[static_cast<std::size_t>(i)].get();
      if (!answer) return say(to, "failed " + code_of(answer));
      say(to, "reading " + std::to_string(next + i));
    }
    const std::string title = "edit " + std::to_string(next);
    const auto current = file->document();
    if (!current) return say(to, "failed " + code_of(current));
    const auto done = file->commit(set_title(title), (*current)->revision, stamp_of("phone"));
    if (!done) return say(to, "failed " + code_of(done));
    say(to, "edit " + std::to_string(next) + " " + std::to_string(done->revision));
  }
}

struct Acknowledged {
  std::set<int> readings;
  std::map<std::int64_t, std::string> titles;  // by revision
};

// Takes in one line; false at the end or where the child failed.
bool take_in(const std::string& line, Acknowledged& said) {
  std::istringstream words(line);
  std::string what;
  int number = 0;
  std::int64_t revision = 0;
  if (!(words >> what >> number)) {
    EXPECT_TRUE(line.empty()) << line;
    return false;
  }
  if (what == "reading") said.readings.insert(number);
  if (what == "edit" && words >> revision) said.titles[revision] = "edit " + std::to_string(number);
  return true;
}

TEST(Durability, NothingAcknowledgedIsLostOrDoubledByAKill) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
  std::mt19937 random(20260301);
  Acknowledged said;
  for (int round = 0; round < 50; ++round) {
    const int next = said.readings.empty() ? 0 : *said.readings.rbegin() + 1;
    ChildProcess child([&](int to) { send_until_killed(path, next, to); });
    // The kill falls at a place of its own in each round: behind some acknowledgements and a bit of work.
    const auto lines = std::uniform_int_distribution<int>(1, 40)(random);
    for (int i = 0; i < lines && take_in(child.line(), said); ++i) {
    }
    volatile unsigned spin = std::uniform_int_distribution<unsigned>(0, 300'000)(random);
    while (spin > 0) spin = spin - 1;
    child.kill_now();
    while (take_in(child.line(), said)) {
    }
  }
  EXPECT_EQ(integrity_of(path), "ok");
  GraftFile file = held(GraftFile::open(path));
  std::multiset<int> stored;
  for (const Reading& reading : held(file.readings())) {
    EXPECT_EQ(reading.id, "r" + std::to_string(static_cast<int>(reading.value)));
    stored.insert(static_cast<int>(reading.value));
  }
  EXPECT_GT(said.readings.size(), 100U);
  EXPECT_GT(said.titles.size(), 10U);
  for (const int number : said.readings) EXPECT_EQ(stored.count(number), 1U) << number;
  for (const int number : stored) EXPECT_EQ(stored.count(number), 1U) << number;
  for (const auto& [revision, title] : said.titles) {
    EXPECT_EQ(held(file.document_at(revision))->graft.title, title);
  }
}

TEST(Durability, TwoProcessesWriteOneFile) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  Graft graft;
  graft.wires.resize(2);
  graft.wires[0].id = "w1";
  graft.wires[1].id = "w2";
  held(GraftFile::create(path, graft, stamp_of("Ann")));
  const auto edit_wire = [&path](const std::string& place) {
    auto file = GraftFile::open(path);
    std::int64_t seen = 1;
    std::string worst = code_of(file);
    for (int i = 1; file && i <= 40; ++i) {
      const std::string patch =
          Json::array({{{"op", "add"}, {"path", "/wires/" + place + "/length_mm"}, {"value", i}}}).dump();
      const auto done = file->commit(patch, seen, stamp_of(place));
      if (!done) worst = code_of(done);
      if (done) seen = done->revision;
      if (!file->append(numbered(i + (place == "0" ? 0 : 1000)))) worst = "reading";
    }
    return worst;
  };
  ChildProcess child([&](int to) { say(to, edit_wire("0")); });
  EXPECT_EQ(edit_wire("1"), "fine");
  EXPECT_EQ(child.line(), "fine");
  GraftFile file = held(GraftFile::open(path));
  const Json json = *held(file.document())->json;
  EXPECT_EQ(held(file.document())->revision, 81);
  EXPECT_EQ(json["wires"][0]["length_mm"], 40);
  EXPECT_EQ(json["wires"][1]["length_mm"], 40);
  EXPECT_EQ(held(file.readings()).size(), 80U);
  EXPECT_EQ(held(file.last_sequence()), 161);
}

TEST(Durability, AFullFileRefusesAndKeepsWhatItHas) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
  GraftFile file = held(GraftFile::open(path, {.largest_bytes = 200'000}));
  int count = 0;
  std::string code = "fine";
  while (code == "fine" && count < 10'000) {
    code = code_of(file.append(numbered(count)));
    if (code == "fine") ++count;
  }
  EXPECT_EQ(code, "disk-full");
  EXPECT_GT(count, 100);
  const std::string photo = "\xff\xd8\xff" + std::string(100'000, 'x');
  EXPECT_EQ(code_of(file.attach({"p", "", "", "image/jpeg", "", "", 0, ""}, photo)), "disk-full");
  EXPECT_EQ(code_of(file.commit(set_title(std::string(50'000, 'x')), 1, stamp_of("Ann"))), "disk-full");
  // Nothing half-written is seen, not even by the one who tried.
  EXPECT_EQ(held(file.document())->graft.title, "");
  EXPECT_EQ(held(file.readings()).size(), static_cast<std::size_t>(count));
  GraftFile roomy = held(GraftFile::open(path));
  EXPECT_FALSE(held(roomy.append(numbered(count))).already_there);
  EXPECT_EQ(integrity_of(path), "ok");
}

TEST(Durability, ADiskThatTakesNoMoreBytesLosesNothingAcknowledged) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
  ChildProcess child([&](int to) {
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{300'000, 300'000};
    setrlimit(RLIMIT_FSIZE, &limit);
    send_until_killed(path, 0, to);
  });
  Acknowledged said;
  std::string line = child.line();
  for (; !line.starts_with("failed") && take_in(line, said); line = child.line()) {
  }
  EXPECT_TRUE(line == "failed disk-full" || line == "failed not-written") << line;
  child.wait_for_end();  // it closes the file only after it has said so
  EXPECT_GT(said.readings.size(), 10U);
  EXPECT_EQ(integrity_of(path), "ok");
  GraftFile file = held(GraftFile::open(path));
  std::set<int> stored;
  for (const Reading& reading : held(file.readings())) stored.insert(static_cast<int>(reading.value));
  for (const int number : said.readings) EXPECT_TRUE(stored.contains(number)) << number;
  for (const auto& [revision, title] : said.titles) {
    EXPECT_EQ(held(file.document_at(revision))->graft.title, title);
  }
}

TEST(Durability, TheQueueAnswersEveryThreadOnce) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
  {
    ReadingQueue queue = held(ReadingQueue::open(path));
    std::vector<std::thread> senders;
    for (int sender = 0; sender < 8; ++sender) {
      senders.emplace_back([&queue, sender] {
        std::int64_t last = 0;
        for (int i = 0; i < 50; ++i) {
          const Reading reading = numbered(100 * sender + i);
          auto first = queue.add(reading);
          auto resent = queue.add(reading);
          const Appended answer = held(first.get());
          EXPECT_GT(answer.sequence, last);
          last = answer.sequence;
          EXPECT_TRUE(held(resent.get()).already_there);
        }
      });
    }
    for (std::thread& sender : senders) sender.join();
    Reading bad = numbered(0);
    bad.value = -1;
    EXPECT_EQ(code_of(queue.add(bad).get()), "id-taken");
    (void)queue.add(numbered(9999));  // nobody waits for this one; ending the queue writes it
  }
  EXPECT_EQ(held(held(GraftFile::open(path)).readings()).size(), 401U);
}

}  // namespace
}  // namespace loomgraft::store_durability_test
