// The chain of hashes: what is altered, missing or cut off is seen, and what is proven is said.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "loom/graft_json.h"
#include "store/graft_file.h"
#include "store/recover.h"
#include "tests/loom/sample_graft.h"
#include "tests/rounds.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_hashes_test {
namespace {

class HashesTest : public testing::Test {
 protected:
  HashesTest() {
    GraftFile file = held(GraftFile::create(path, measured_sample_graft(), stamp_of("Ann")));
    for (int i = 0; i < 40; ++i)
      held(file.append(Reading{"n" + std::to_string(i), "t", 0.5 * i, "V", "Ann", ""}));
    held(file.append(Tick{"t1", "move 1", true, "Ann", ""}));
    held(file.attach({"p1", "", "", "image/jpeg", "", "", 0, ""}, "\xff\xd8\xff" + std::string(9000, 'x')));
  }
  void run_sql(const std::string& sql) {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    database.exec("PRAGMA journal_mode = DELETE");
    database.exec(sql);
  }
  std::string opened() { return code_of(GraftFile::open(path, {.access = Access::read})); }
  // As a file that version 1 wrote.
  void take_hashes_away() {
    for (const char* table : {"revisions", "readings", "ticks", "attachments"})
      run_sql(std::string("ALTER TABLE ") + table + " DROP COLUMN hash");
    for (const char* column : {"head", "base_seq", "base", "mark", "lost"})
      run_sql(std::string("ALTER TABLE counter DROP COLUMN ") + column);
    run_sql("PRAGMA user_version = 1");
  }

  ScratchFolder folder;
  std::string path = folder / "job.graft";
  std::string saved = folder / "saved.graft";
};

TEST_F(HashesTest, SeeWhatSqliteDoesNot) {
  const std::string whole = bytes_of(path);
  for (const char* change : {
           "UPDATE readings SET body = replace(body, '\"V\"', '\"A\"') WHERE id = 'n7'",
           "DELETE FROM readings WHERE id = 'n7'",
           "DELETE FROM readings WHERE id = 'n39'",
           "DELETE FROM attachments",
           "UPDATE ticks SET done = 0",
           "UPDATE revisions SET author = 'Ben'",
           "UPDATE snapshots SET document = replace(document, 'wires', 'Wires')",
           "UPDATE counter SET seq = seq + 1",
           "UPDATE readings SET hash = NULL WHERE id = 'n7'",
           "UPDATE readings SET seq = 1000 WHERE id = 'n7'",
       }) {
    EXPECT_EQ(opened(), "fine");
    run_sql(change);
    EXPECT_EQ(opened(), "damaged") << change;
    write_bytes(path, whole);
  }
}

// A flipped bit is seen, or nothing that is read has changed.
TEST_F(HashesTest, AFlippedBitIsSeenOrHarmless) {
  const std::string whole = bytes_of(path);
  const std::string truth = write_graft(held(held(GraftFile::open(path)).whole()));
  std::mt19937 random(7);
  int seen = 0;
  for (int i = 0; i < samples::rounds(300); ++i) {
    std::string bytes = whole;
    const std::size_t at = std::uniform_int_distribution<std::size_t>(0, bytes.size() - 1)(random);
    bytes[at] = static_cast<char>(bytes[at] ^ (1 << (random() % 8)));
    const std::string damaged = folder / "damaged.graft";
    write_bytes(damaged, bytes);
    auto file = GraftFile::open(damaged, {.access = Access::read});
    seen += file ? 0 : 1;
    if (!file) continue;
    EXPECT_EQ(write_graft(held(file->whole())), truth) << at;
    const auto photo = file->attachment_bytes("p1");
    EXPECT_TRUE(photo || code_of(photo) == "damaged") << at;
  }
  EXPECT_GT(seen, samples::rounds(20)) << "most of a small file is unused space";
}

TEST_F(HashesTest, RecoverySaysWhatIsProven) {
  const Recovered whole = held(recover(path, saved));
  EXPECT_TRUE(whole.lost.empty());
  const std::size_t all = 1 + measured_sample_graft().readings.size() + 40 + 1 + 1;
  EXPECT_EQ(whole.proven, all);
  ASSERT_EQ(whole.proof.size(), 1U);
  EXPECT_EQ(whole.proof[0].code, "proven-whole");
  EXPECT_EQ(code_of(GraftFile::open(saved)), "fine") << "the new file has hashes of its own";
  run_sql("UPDATE readings SET body = replace(body, '\"V\"', '\"A\"') WHERE id = 'n7'");
  const std::string second = folder / "second.graft";
  const Recovered partial = held(recover(path, second));
  ASSERT_EQ(partial.lost.size(), 1U);
  EXPECT_EQ(partial.lost[0].code, "entries-altered");
  EXPECT_THAT(partial.lost[0].message, testing::HasSubstr("\"n7\""));
  EXPECT_EQ(partial.proven, all - 1);
  EXPECT_EQ(held(held(GraftFile::open(second)).readings()).size(),
            measured_sample_graft().readings.size() + 39);
}

TEST_F(HashesTest, AFileOfVersionOneGetsThemWhenItIsWritten) {
  const std::string truth = write_graft(held(held(GraftFile::open(path)).whole()));
  take_hashes_away();
  EXPECT_TRUE(held(GraftFile::open(path, {.access = Access::read})).remarks().empty());
  const Recovered recovered = held(recover(path, saved));
  EXPECT_EQ(recovered.proven, 0U);
  ASSERT_EQ(recovered.proof.size(), 1U);
  EXPECT_EQ(recovered.proof[0].code, "not-proven");
  {
    GraftFile file = held(GraftFile::open(path));
    ASSERT_EQ(file.remarks().size(), 1U);
    EXPECT_EQ(file.remarks()[0].code, "hashes-started");
    EXPECT_EQ(write_graft(held(file.whole())), truth);
    held(file.append(Reading{"new", "t", 1, "V", "Ann", ""}));
  }
  EXPECT_TRUE(held(GraftFile::open(path)).remarks().empty());
  run_sql("UPDATE readings SET body = replace(body, '\"V\"', '\"A\"') WHERE id = 'n7'");
  EXPECT_EQ(opened(), "damaged") << "the base holds what was there before";
}

}  // namespace
}  // namespace loomgraft::store_hashes_test
