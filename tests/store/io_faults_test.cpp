// A disk that fails at any write or sync, and a power loss at any of them: what was acknowledged is there afterwards.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <set>

#include "store/graft_file.h"
#include "store/recover.h"
#include "tests/rounds.h"
#include "tests/store/faulty_vfs.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_io_faults_test {
namespace {

namespace fs = std::filesystem;

struct Said {
  std::set<std::string> readings;
  std::set<std::string> ticks;
  std::set<std::string> photos;
  std::map<std::int64_t, std::string> titles;  // by revision
};

const std::string photo = "\xff\xd8\xff" + std::string(20'000, 'x');

Reading reading(const std::string& id) {
  return {id, "t", 1.5, "V", "phone", ""};
}

void edit(GraftFile& file, const std::string& title, Said& said) {
  const auto current = file.document();
  if (!current) return;
  const auto patch = nlohmann::json::array({{{"op", "add"}, {"path", "/title"}, {"value", title}}});
  const auto done = file.commit(patch.dump(), (*current)->revision, stamp_of("Ann"));
  if (done) said.titles[done->revision] = title;
}

// A bit of everything, with the log emptied in between and at the end.
void work(const std::string& path, const OpenOptions& options, Said& said) {
  for (const std::string round : {"a", "b"}) {
    auto file = GraftFile::open(path, options);
    if (!file) continue;
    for (int i = 0; i < 3; ++i) {
      const std::string id = round + std::to_string(i);
      if (file->append(reading(id))) said.readings.insert(id);
    }
    edit(*file, "title " + round, said);
    if (file->append(Tick{"t" + round, "move", true, "Ann", ""})) said.ticks.insert("t" + round);
    if (file->attach({"p" + round, "", "", "image/jpeg", "", "", 0, ""}, photo))
      said.photos.insert("p" + round);
    (void)file->settle();
    if (file->append(reading(round + "z"))) said.readings.insert(round + "z");
  }
}

void expect_all_there(const std::string& path, const Said& said, const std::string& where) {
  auto file = GraftFile::open(path);
  ASSERT_TRUE(file) << where << ": " << file.error().front().message;
  for (const Problem& remark : file->remarks()) EXPECT_EQ(remark.code, "network-folder") << where;
  std::multiset<std::string> readings;
  for (const Reading& one : held(file->readings())) readings.insert(one.id);
  for (const std::string& id : said.readings) EXPECT_EQ(readings.count(id), 1U) << where << " " << id;
  for (const std::string& id : readings) EXPECT_EQ(readings.count(id), 1U) << where << " " << id;
  std::set<std::string> ticks;
  for (const Tick& one : held(file->all_ticks())) ticks.insert(one.id);
  for (const std::string& id : said.ticks) EXPECT_TRUE(ticks.contains(id)) << where << " " << id;
  for (const std::string& id : said.photos) EXPECT_EQ(code_of(file->attachment_bytes(id)), "fine") << where;
  for (const auto& [revision, title] : said.titles)
    EXPECT_EQ(held(file->document_at(revision))->graft.title, title) << where;
  EXPECT_EQ(code_of(file->append(reading("after"))), "fine") << where;
}

// The number of writes and syncs of the work without a fault.
int changes_of(FaultyVfs& disk, const OpenOptions& options) {
  const ScratchFolder folder;
  held(GraftFile::create(folder / "job.graft", Graft{}, stamp_of("Ann")));
  disk.arm(Fault::none, 0, 0);
  Said said;
  work(folder / "job.graft", options, said);
  EXPECT_EQ(said.readings.size(), 8U);
  EXPECT_EQ(said.titles.size(), 2U);
  return disk.count();
}

void sweep(Fault fault, const OpenOptions& options, int step) {
  FaultyVfs disk;
  const int changes = changes_of(disk, options);
  EXPECT_GT(changes, 40);
  std::size_t acknowledged = 0;
  // Torn writes and power losses take turns.
  for (int at = fault == Fault::power_loss ? 2 : 1; at <= changes; at += step) {
    const std::string where =
        "fault " + std::to_string(static_cast<int>(fault)) + " at " + std::to_string(at);
    const ScratchFolder folder;
    disk.arm(Fault::none, 0, 0);
    held(GraftFile::create(folder / "job.graft", Graft{}, stamp_of("Ann")));
    disk.arm(fault, at, static_cast<unsigned>(at));
    Said said;
    work(folder / "job.graft", options, said);
    acknowledged += said.readings.size();
    if (disk.power_is_off()) disk.leave_what_is_left();
    disk.arm(Fault::none, 0, 0);
    expect_all_there(folder / "job.graft", said, where);
    if (testing::Test::HasFailure()) return;
  }
  EXPECT_GT(acknowledged, 0U);
}

class IoFaults : public testing::TestWithParam<Fault> {};

TEST_P(IoFaults, NothingAcknowledgedIsLost) {
  // Where the power stays on, what follows a fault differs less from one to the next.
  const bool loses_power = GetParam() == Fault::torn || GetParam() == Fault::power_loss;
  sweep(GetParam(), {.busy_ms = 50}, loses_power ? 2 : 5);
}

TEST_P(IoFaults, NorOnAShare) {
  sweep(GetParam(), {.busy_ms = 50, .network_folder = true}, 4);
}

INSTANTIATE_TEST_SUITE_P(Faults, IoFaults,
                         testing::Values(Fault::error, Fault::full, Fault::torn, Fault::power_loss));

}  // namespace
}  // namespace loomgraft::store_io_faults_test
