// What lies beside a graft file: logs of other files, copies without their log, files replaced while they are open.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <functional>
#include <set>

#include "loom/graft_json.h"
#include "store/copies.h"
#include "store/graft_file.h"
#include "store/graft_folder.h"
#include "store/reading_queue.h"
#include "store/recover.h"
#include "tests/loom/sample_graft.h"
#include "tests/store/child_process.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_beside_test {
namespace {

namespace fs = std::filesystem;

Reading numbered(int number) {
  return {"r" + std::to_string(number), "t", static_cast<double>(number), "V", "phone", ""};
}

std::size_t readings_in(const std::string& path) {
  return held(held(GraftFile::open(path)).readings()).size();
}

std::vector<std::string> codes_of(const Problems& problems) {
  std::vector<std::string> codes;
  for (const Problem& problem : problems) codes.emplace_back(problem.code.text());
  return codes;
}

class BesideTest : public testing::Test {
 protected:
  BesideTest() { held(GraftFile::create(path, Graft{}, stamp_of("Ann"))); }

  void append(int from, int to, const std::string& file_path) const {
    GraftFile file = held(GraftFile::open(file_path));
    for (int i = from; i < to; ++i) held(file.append(numbered(i)));
  }
  // Writes and dies, so that the log stays.
  void append_and_die(int from, int to) const {
    ChildProcess child([&](int out) {
      GraftFile file = held(GraftFile::open(path));
      for (int i = from; i < to; ++i) held(file.append(numbered(i)));
      say(out, "written");
      _exit(0);
    });
    EXPECT_EQ(child.line(), "written");
  }
  std::vector<std::string> files_beginning_with(const std::string& start) const {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder.path())) {
      const std::string name = entry.path().filename().string();
      if (name.starts_with(start)) names.push_back(name);
    }
    return names;
  }

  ScratchFolder folder;
  std::string path = folder / "job.graft";
  std::string other = folder / "other.graft";
};

TEST_F(BesideTest, AKilledProgramsLogIsItsFilesOwn) {
  append_and_die(0, 20);
  ASSERT_GT(fs::file_size(path + "-wal"), 0U);
  GraftFile file = held(GraftFile::open(path));
  EXPECT_TRUE(file.remarks().empty()) << codes_of(file.remarks()).front();
  EXPECT_EQ(held(file.readings()).size(), 20U);
}

TEST_F(BesideTest, ABackupPutOverAFileKeepsTheOldLogAway) {
  append(0, 10, path);
  fs::copy_file(path, other);
  append_and_die(10, 200);
  fs::copy_file(other, path, fs::copy_options::overwrite_existing);
  GraftFile file = held(GraftFile::open(path));
  EXPECT_THAT(codes_of(file.remarks()), testing::ElementsAre("log-moved-aside"));
  EXPECT_EQ(held(file.readings()).size(), 10U);
  EXPECT_EQ(files_beginning_with("job.graft.log-").size(), 1U);
  held(file.append(numbered(500)));
}

TEST_F(BesideTest, ABackupMovedOverAFileKeepsTheOldLogAway) {
  append(0, 10, path);
  held(held(GraftFile::open(path)).copy_to(other));
  append_and_die(10, 200);
  fs::rename(other, path);
  GraftFile file = held(GraftFile::open(path, {.access = Access::read}));
  EXPECT_THAT(codes_of(file.remarks()), testing::ElementsAre("log-moved-aside"));
  EXPECT_EQ(held(file.readings()).size(), 10U);
}

TEST_F(BesideTest, ANewFileHasNoneOfAnOldOnesReadings) {
  append_and_die(0, 20);
  fs::remove(path);
  GraftFile file = held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
  EXPECT_TRUE(held(file.readings()).empty());
  EXPECT_EQ(files_beginning_with("job.graft.log-").size(), 1U);
}

TEST_F(BesideTest, AnotherGraftsLogIsMovedAside) {
  held(GraftFile::create(other, Graft{}, stamp_of("Ann")));
  append(0, 5, other);
  append_and_die(0, 20);
  fs::rename(path + "-wal", other + "-wal");
  EXPECT_EQ(readings_in(other), 5U);
}

// Each way in which a file is taken from under the running program: nothing is acknowledged that is not in the file.
TEST_F(BesideTest, SeesThatTheFileIsNoLongerTheOneThatWasOpened) {
  const std::function<void()> ways[] = {
      [&] { fs::remove(path); },
      [&] { fs::rename(path, other); },
      [&] { fs::resize_file(path, 0); },
      [&] { fs::resize_file(path, fs::file_size(path) - 4096); },
      [&] { fs::remove(path + "-wal"); },
      [&] { fs::remove(path + "-shm"); },
      [&] {
        held(GraftFile::create(other, Graft{}, stamp_of("Ben")));
        fs::copy_file(other, path, fs::copy_options::overwrite_existing);
      },
      [&] {
        held(GraftFile::create(other, Graft{}, stamp_of("Ben")));
        fs::rename(other, path);
      },
  };
  int number = 0;
  for (const auto& way : ways) {
    for (const char* part : {"", "-wal", "-shm"}) {
      fs::remove(path + part);
      fs::remove(other + part);
    }
    held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
    GraftFile file = held(GraftFile::open(path));
    ReadingQueue queue = held(ReadingQueue::open(path));
    for (int i = 0; i < 50; ++i) held(file.append(numbered(i)));
    held(file.settle());
    if (number % 2 == 0) held(file.append(numbered(50)));
    EXPECT_TRUE(file.in_place());
    way();
    // SQLite itself finds that pages are missing.
    const auto refused = testing::AnyOf("file-replaced", "damaged");
    EXPECT_THAT(code_of(queue.add(numbered(1000)).get()), refused) << number;
    EXPECT_THAT(code_of(file.append(numbered(1001))), refused) << number;
    EXPECT_FALSE(file.in_place()) << number;
    ++number;
  }
}

TEST_F(BesideTest, ClosingLeavesAFileAloneThatTookThePlace) {
  append(0, 10, path);
  held(held(GraftFile::open(path)).copy_to(other));
  {
    GraftFile file = held(GraftFile::open(path));
    for (int i = 10; i < 100; ++i) held(file.append(numbered(i)));
    fs::copy_file(other, path, fs::copy_options::overwrite_existing);
  }
  EXPECT_EQ(bytes_of(path), bytes_of(other));
  EXPECT_EQ(readings_in(path), 10U);
}

TEST_F(BesideTest, ASettledFileIsWholeByItself) {
  GraftFile file = held(GraftFile::open(path));
  for (int i = 0; i < 50; ++i) held(file.append(numbered(i)));
  EXPECT_TRUE(held(file.settle()));
  fs::copy_file(path, other);
  GraftFile copy = held(GraftFile::open(other));
  EXPECT_TRUE(copy.remarks().empty());
  EXPECT_EQ(held(copy.readings()).size(), 50U);
}

TEST_F(BesideTest, ACopyWithoutItsLogSaysSo) {
  GraftFile file = held(GraftFile::open(path));
  for (int i = 0; i < 50; ++i) held(file.append(numbered(i)));
  fs::copy_file(path, other);
  for (const Access access : {Access::read, Access::write, Access::read}) {
    GraftFile copy = held(GraftFile::open(other, {.access = access}));
    EXPECT_THAT(codes_of(copy.remarks()), testing::ElementsAre("copy-incomplete"));
  }
  fs::remove(other);
  fs::copy_file(path, other);
  fs::copy_file(path + "-wal", other + "-wal");
  GraftFile both = held(GraftFile::open(other));
  EXPECT_TRUE(both.remarks().empty());
  EXPECT_EQ(held(both.readings()).size(), 50U);
}

TEST_F(BesideTest, AWholeCopyCanBeMadeWhileOthersWrite) {
  GraftFile file = held(GraftFile::open(path));
  ReadingQueue queue = held(ReadingQueue::open(path));
  for (int i = 0; i < 20; ++i) {
    auto answer = queue.add(numbered(i));
    const std::string to = folder / ("copy" + std::to_string(i) + ".graft");
    held(file.copy_to(to));
    held(answer.get());
    GraftFile copy = held(GraftFile::open(to));
    EXPECT_TRUE(copy.remarks().empty());
    EXPECT_GE(held(copy.readings()).size(), static_cast<std::size_t>(i));
  }
  EXPECT_EQ(code_of(file.copy_to(folder / "copy1.graft")), "file-exists");
}

TEST_F(BesideTest, WhatCannotBeReplayedIsSaid) {
  append_and_die(0, 20);
  fs::remove(path + "-shm");
  chmod(folder.path().c_str(), 0555);
  ChildProcess child([&](int to) {
    const bool plain = geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
    if (!plain) return say(to, "no way to give up rights");
    auto file = GraftFile::open(path, {.access = Access::read});
    say(to, code_of(file));
    if (!file) return;
    const bool all = held(file->readings()).size() == 20;
    say(to, all                       ? "all"
            : file->remarks().empty() ? "nothing"
                                      : std::string(file->remarks().front().code.text()));
  });
  EXPECT_EQ(child.line(), "fine");
  EXPECT_EQ(child.line(), "log-ignored");
  chmod(folder.path().c_str(), 0755);
}

TEST_F(BesideTest, OnAShareThereIsNoLog) {
  const OpenOptions share{.network_folder = true};
  {
    GraftFile file = held(GraftFile::open(path, share));
    GraftFile reader = held(GraftFile::open(path, {.access = Access::read, .network_folder = true}));
    ReadingQueue queue = held(ReadingQueue::open(path, share));
    EXPECT_THAT(codes_of(file.remarks()), testing::ElementsAre("network-folder"));
    for (int i = 0; i < 20; ++i) held(file.append(numbered(i)));
    for (int i = 20; i < 40; ++i) held(queue.add(numbered(i)).get());
    EXPECT_EQ(held(reader.readings()).size(), 40U);
    EXPECT_FALSE(fs::exists(path + "-wal"));
    fs::copy_file(path, other);
  }
  GraftFile copy = held(GraftFile::open(other));
  EXPECT_TRUE(copy.remarks().empty());
  EXPECT_EQ(held(copy.readings()).size(), 40U);
  EXPECT_EQ(readings_in(path), 40U);
}

// ---- dated copies

TEST(DatedCopies, KeepsTheLastTenOneADayAndOneAWeek) {
  std::vector<DatedCopy> copies;
  for (int day = 31; day >= 1; --day) {
    for (int hour = 23; hour >= 20; --hour) {
      DatedCopy copy;
      copy.time = "2026-01-" + std::string(day < 10 ? "0" : "") + std::to_string(day) + "T" +
                  std::to_string(hour) + ":00:00Z";
      copies.push_back(copy);
    }
  }
  const auto dropped = copies_to_drop(copies, "2026-01-31T23:30:00Z");
  std::set<std::string> gone;
  for (const DatedCopy& copy : dropped) gone.insert(copy.time);
  for (int i = 0; i < 10; ++i) EXPECT_FALSE(gone.contains(copies[static_cast<std::size_t>(i)].time));
  EXPECT_FALSE(gone.contains("2026-01-18T23:00:00Z")) << "the last of the 14th day";
  EXPECT_TRUE(gone.contains("2026-01-18T22:00:00Z"));
  // Ten of the last three days, the other eleven days (28 to 18), and the weeks that end on the 14th and the 7th.
  EXPECT_EQ(copies.size() - dropped.size(), 10U + 11U + 2U);
  EXPECT_TRUE(copies_to_drop({copies.begin(), copies.begin() + 10}, "2027-01-01T00:00:00Z").empty());
}

TEST(DatedCopies, AreMadeWhenDueAndPutBack) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  GraftFile file = held(GraftFile::create(path, measured_sample_graft(), stamp_of("Ann")));
  const auto first = held(make_copy_if_due(path, "2026-03-01T10:00:00.123Z"));
  ASSERT_TRUE(first);
  held(file.append(numbered(101)));
  EXPECT_FALSE(held(make_copy_if_due(path, "2026-03-01T10:05:00Z")));
  EXPECT_TRUE(held(make_copy_if_due(path, "2026-03-01T10:10:00Z")));
  EXPECT_FALSE(held(make_copy_if_due(path, "2026-03-01T11:00:00Z"))) << "nothing was written since";
  held(file.append(numbered(102)));
  const std::int64_t last = held(file.last_sequence());
  held(put_back(held(path_of_copy(path, first->name)), path, "2026-03-01T12:00:00Z"));
  EXPECT_EQ(code_of(file.append(numbered(103))), "file-replaced");
  GraftFile again = held(GraftFile::open(path));
  EXPECT_TRUE(again.remarks().empty()) << codes_of(again.remarks()).front();
  EXPECT_EQ(write_graft(held(again.whole())), write_graft(measured_sample_graft()));
  EXPECT_EQ(held(again.last_sequence()), last);
  EXPECT_GT(held(again.append(numbered(104))).sequence, last);
  const auto copies = dated_copies(path);
  ASSERT_EQ(copies.size(), 3U);
  EXPECT_EQ(copies[0].time, "2026-03-01T12:00:00Z");
  EXPECT_EQ(held(held(GraftFile::open(copies_folder(path) + "/" + copies[0].name)).readings()).size(),
            measured_sample_graft().readings.size() + 2);
  EXPECT_EQ(code_of(path_of_copy(path, "../job.graft")), "not-found");
  EXPECT_TRUE(held(GraftFolder::open(folder.path())).names().size() == 1U);
}

TEST(DatedCopies, TakeThePlaceOfADamagedFile) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  held(GraftFile::create(path, measured_sample_graft(), stamp_of("Ann")));
  const DatedCopy copy = held(make_dated_copy(path, "2026-03-01T10:00:00Z"));
  write_bytes(path, bytes_of(path).substr(0, 9000));
  EXPECT_EQ(code_of(GraftFile::open(path)), "damaged");
  EXPECT_EQ(code_of(make_dated_copy(path, "2026-03-02T10:00:00Z")), "damaged");
  held(put_back(held(path_of_copy(path, copy.name)), path, "2026-03-02T10:00:00Z"));
  EXPECT_EQ(write_graft(held(held(GraftFile::open(path)).whole())), write_graft(measured_sample_graft()));
  EXPECT_EQ(std::filesystem::file_size(folder / "job.graft.replaced-2026-03-02T10-00-00Z"), 9000U);
}

}  // namespace
}  // namespace loomgraft::store_beside_test
