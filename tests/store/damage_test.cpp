// Files that cannot be used as they are: refused with a clear word, and what can be read of them saved.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <nlohmann/json.hpp>

#include "loom/graft_json.h"
#include "store/graft_file.h"
#include "store/recover.h"
#include "tests/loom/sample_graft.h"
#include "tests/store/child_process.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_damage_test {
namespace {

using Json = nlohmann::json;
constexpr std::size_t page_bytes = 4096;

std::string photo(int number) {
  return "\xff\xd8\xff" + std::string(20'000, static_cast<char>('a' + number));
}

std::string set_length(int value) {
  return Json::array({{{"op", "add"}, {"path", "/wires/0/length_mm"}, {"value", value}}}).dump();
}

class DamageTest : public testing::Test {
 protected:
  DamageTest() { held(GraftFile::create(path, measured_sample_graft(), stamp_of("Ann"))); }

  // 41 revisions, 301 readings, 40 ticks, 4 photos.
  void fill() {
    GraftFile file = held(GraftFile::open(path));
    for (int i = 1; i <= 40; ++i) {
      held(file.commit(set_length(i), i, stamp_of("Ann")));
      held(file.append(Tick{"tick" + std::to_string(i), "move " + std::to_string(i), true, "Ann", ""}));
      if (i % 10 == 0)
        held(file.attach({"p" + std::to_string(i), "", "", "image/jpeg", "", "", 0, ""}, photo(i / 10)));
    }
    std::vector<Reading> readings;
    for (int i = 0; i < 300; ++i) readings.push_back({"n" + std::to_string(i), "t", 0.5 * i, "V", "Ann", ""});
    held(file.append(readings));
  }
  void run_sql(const std::string& sql) {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    database.exec(sql);
  }
  std::string opened(Access access = Access::write) {
    return code_of(GraftFile::open(path, {.access = access}));
  }

  ScratchFolder folder;
  std::string path = folder / "job.graft";
  std::string saved = folder / "saved.graft";
};

TEST_F(DamageTest, RefusesWhatIsNoGraftFile) {
  EXPECT_EQ(code_of(GraftFile::open(folder / "absent.graft")), "not-found");
  EXPECT_EQ(code_of(GraftFile::open(folder.path())), "not-a-graft-file");
  write_bytes(path, "");
  EXPECT_EQ(opened(), "not-a-graft-file");
  write_bytes(path, write_graft(measured_sample_graft()));
  EXPECT_EQ(opened(), "not-a-graft-file");
}

TEST_F(DamageTest, LeavesAStrangersDatabaseAsItIs) {
  const std::string other = folder / "other.graft";
  { SQLite::Database(other, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec("CREATE TABLE t (a)"); }
  const std::string before = bytes_of(other);
  EXPECT_EQ(code_of(GraftFile::open(other)), "not-a-graft-file");
  EXPECT_EQ(bytes_of(other), before);
}

TEST_F(DamageTest, RefusesANewerFileAndANewerDocument) {
  run_sql("PRAGMA user_version = 3");
  EXPECT_EQ(opened(), "newer-file");
  run_sql("PRAGMA user_version = 2");
  run_sql("UPDATE snapshots SET document = json_set(document, '$.version', 99)");
  GraftFile file = held(GraftFile::open(path, {.check = false}));
  EXPECT_EQ(code_of(file.document()), "newer-version");
}

TEST_F(DamageTest, SaysThatAnotherProgramKeepsTheFile) {
  GraftFile file = held(GraftFile::open(path, {.busy_ms = 10}));
  SQLite::Database other(path, SQLite::OPEN_READWRITE);
  other.exec("BEGIN IMMEDIATE");
  EXPECT_EQ(code_of(file.commit(set_length(1), 1, stamp_of("Ann"))), "busy");
  EXPECT_EQ(held(file.document())->revision, 1) << "reading goes on";
  other.exec("ROLLBACK");
  EXPECT_EQ(code_of(file.commit(set_length(1), 1, stamp_of("Ann"))), "fine");
}

// In a folder without write permission, as somebody without special rights.
TEST_F(DamageTest, ReadsWhereNothingCanBeWritten) {
  chmod(path.c_str(), 0444);
  chmod(folder.path().c_str(), 0555);
  ChildProcess child([&](int to) {
    const bool plain = geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
    if (!plain) return say(to, "no way to give up rights");
    say(to, opened(Access::write));
    auto file = GraftFile::open(path, {.access = Access::read});
    say(to, code_of(file));
    const auto whole = file ? file->whole() : tl::unexpected(file.error());
    say(to, whole && write_graft(*whole) == write_graft(measured_sample_graft()) ? "same" : "different");
    say(to, code_of(GraftFile::create(folder / "new.graft", Graft{}, stamp_of("Ann"))));
  });
  EXPECT_EQ(child.line(), "read-only");
  EXPECT_EQ(child.line(), "fine");
  EXPECT_EQ(child.line(), "same");
  EXPECT_EQ(child.line(), "not-found") << "the folder cannot be written to";
  chmod(folder.path().c_str(), 0755);
}

TEST_F(DamageTest, SavesAWholeFileWhole) {
  fill();
  const Recovered recovered = held(recover(path, saved));
  EXPECT_TRUE(recovered.lost.empty());
  EXPECT_EQ(recovered.revision, 41);
  EXPECT_EQ(recovered.revisions, 41U);
  EXPECT_EQ(recovered.readings, 301U);
  EXPECT_EQ(recovered.ticks, 40U);
  EXPECT_EQ(recovered.attachments, 4U);
  GraftFile before = held(GraftFile::open(path));
  GraftFile after = held(GraftFile::open(saved));
  EXPECT_EQ(write_graft(held(after.whole())), write_graft(held(before.whole())));
  EXPECT_EQ(held(after.last_sequence()), held(before.last_sequence()));
  EXPECT_EQ(held(after.undo(41, stamp_of("Ann"))).revision, 42);
  EXPECT_EQ(code_of(recover(path, saved)), "file-exists");
}

// Every page in turn is written over: opening never crashes and never gives another document, and recovery
// gives a file that opens, holds only what was there, and says what it lacks.
TEST_F(DamageTest, SavesWhatADamagedPageLeaves) {
  fill();
  const std::string whole = bytes_of(path);
  GraftFile original = held(GraftFile::open(path, {.access = Access::read}));
  const Graft truth = held(original.whole());
  const std::size_t pages = whole.size() / page_bytes;
  ASSERT_GT(pages, 30U);
  std::size_t saved_readings = 0;
  std::size_t refused = 0;
  for (std::size_t page = 0; page < pages; ++page) {
    std::string bytes = whole;
    std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(page * page_bytes), page_bytes, '\xa5');
    const std::string damaged = folder / "damaged.graft";
    write_bytes(damaged, bytes);
    const auto file = GraftFile::open(damaged, {.access = Access::read});
    if (!file) {
      ++refused;
      EXPECT_TRUE(code_of(file) == "damaged" || (page == 0 && code_of(file) == "not-a-graft-file"))
          << code_of(file);
    }
    const std::string to = folder / ("saved" + std::to_string(page) + ".graft");
    const Recovered recovered = held(recover(damaged, to));
    EXPECT_EQ(bytes_of(damaged), bytes) << "the damaged file is only read";
    GraftFile after = held(GraftFile::open(to));
    const auto readings = held(after.readings());
    saved_readings += readings.size();
    for (const Reading& reading : readings) {
      EXPECT_TRUE(std::find(truth.readings.begin(), truth.readings.end(), reading) != truth.readings.end());
    }
    const std::size_t kept = recovered.revisions + readings.size() + recovered.ticks + recovered.attachments;
    EXPECT_TRUE(kept == 41 + 301 + 40 + 4 || !recovered.lost.empty()) << "page " << page;
    const bool newest = recovered.revision == 41;
    EXPECT_TRUE(!newest || held(after.document())->graft.wires == truth.wires) << "page " << page;
    EXPECT_NE(code_of(after.append(Reading{"more", "t", 1, "V", "", ""})), "damaged");
  }
  EXPECT_GT(refused, pages / 2);
  // One page out of all costs a few of 301 readings.
  EXPECT_GT(saved_readings, 301 * pages * 9 / 10);
}

TEST_F(DamageTest, SavesEverythingBehindALostFirstPage) {
  fill();
  std::string bytes = bytes_of(path);
  std::fill_n(bytes.begin(), page_bytes, '\0');
  write_bytes(path, bytes);
  EXPECT_EQ(opened(), "not-a-graft-file");
  const Recovered recovered = held(recover(path, saved));
  ASSERT_EQ(recovered.lost.size(), 1U);
  EXPECT_EQ(recovered.lost[0].code, "first-page-lost");
  EXPECT_EQ(recovered.revision, 41);
  EXPECT_EQ(recovered.readings, 301U);
  EXPECT_EQ(recovered.attachments, 4U);
}

TEST_F(DamageTest, ARemovedPhotoIsNotLost) {
  fill();
  held(held(GraftFile::open(path)).remove_attachment("p20", {"Ben", "2026-03-02T10:00:00Z"}));
  const Recovered recovered = held(recover(path, saved));
  EXPECT_TRUE(recovered.lost.empty());
  EXPECT_EQ(recovered.attachments, 4U);
  EXPECT_EQ(code_of(held(GraftFile::open(saved)).attachment_bytes("p20")), "removed");
}

TEST_F(DamageTest, NamesWhatIsLost) {
  fill();
  run_sql("UPDATE readings SET body = 'gone' WHERE id = 'n7'");
  run_sql("UPDATE attachments SET data = x'00' WHERE id = 'p20'");
  run_sql("UPDATE revisions SET patch = '[' WHERE number = 41");
  EXPECT_EQ(opened(), "damaged");
  const Recovered recovered = held(recover(path, saved));
  std::vector<std::string> codes;
  for (const Problem& problem : recovered.lost) codes.emplace_back(problem.code.text());
  EXPECT_THAT(codes, testing::ElementsAre("revisions-lost", "readings-lost", "attachments-lost"));
  EXPECT_THAT(recovered.lost[0].message, testing::HasSubstr("revision 41"));
  EXPECT_THAT(recovered.lost[1].message, testing::HasSubstr("\"n7\""));
  GraftFile after = held(GraftFile::open(saved));
  EXPECT_EQ(held(after.document())->graft.wires[0].length, millimetres(39));
  EXPECT_EQ(code_of(after.undo(40, stamp_of("Ann"))), "fine");
}

TEST_F(DamageTest, SavesWhatFollowsAGapInTheHistory) {
  fill();
  run_sql("UPDATE revisions SET patch = '[' WHERE number = 10");
  EXPECT_EQ(opened(), "damaged") << "the current document does not need it, but it is not what was written";
  const Recovered recovered = held(recover(path, saved));
  EXPECT_EQ(recovered.revision, 41);
  EXPECT_EQ(recovered.revisions, 9U + 9U) << "1 to 9, and from the full copy at 33 on";
  EXPECT_THAT(recovered.lost.front().message, testing::HasSubstr("revision 10 to 32"));
  GraftFile after = held(GraftFile::open(saved));
  EXPECT_EQ(held(after.history(0, 100)).size(), 18U);
  for (std::int64_t at = 41; at < 49; ++at) EXPECT_EQ(code_of(after.undo(at, stamp_of("Ann"))), "fine");
  EXPECT_EQ(code_of(after.undo(49, stamp_of("Ann"))), "nothing-to-undo");
}

TEST_F(DamageTest, SavesAFileThatWasCutOff) {
  fill();
  const std::string bytes = bytes_of(path);
  write_bytes(path, bytes.substr(0, bytes.size() * 3 / 4));
  EXPECT_EQ(opened(), "damaged");
  const Recovered recovered = held(recover(path, saved));
  EXPECT_GT(recovered.revisions, 0U);
  EXPECT_FALSE(recovered.lost.empty());
  EXPECT_EQ(held(held(GraftFile::open(saved)).document())->graft.modules, measured_sample_graft().modules);
  write_bytes(path, "SQLite format 3");
  EXPECT_EQ(code_of(recover(path, folder / "none.graft")), "nothing-recovered");
  EXPECT_FALSE(std::filesystem::exists(folder / "none.graft"));
}

}  // namespace
}  // namespace loomgraft::store_damage_test
