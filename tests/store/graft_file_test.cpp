#include "store/graft_file.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <future>
#include <nlohmann/json.hpp>

#include "loom/graft_json.h"
#include "tests/loom/sample_graft.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_graft_file_test {
namespace {

using Json = nlohmann::json;
using testing::ElementsAre;

Graft two_wires() {
  Graft graft;
  graft.title = "Two wires";
  Wire wire;
  wire.id = "w1";
  wire.area = square_millimetres(0.5);
  graft.wires = {wire};
  wire.id = "w2";
  graft.wires.push_back(wire);
  return graft;
}

class GraftFileTest : public testing::Test {
 protected:
  GraftFile make(const Graft& graft = two_wires()) {
    return held(GraftFile::create(path, graft, stamp_of("Ann", "begun")));
  }
  Json now(GraftFile& file) { return *held(file.document())->json; }

  ScratchFolder folder;
  std::string path = folder / "job.graft";
};

std::string set_area(int index, double area) {
  return Json::array({{{"op", "replace"},
                       {"path", "/wires/" + std::to_string(index) + "/area_mm2"},
                       {"value", area}}})
      .dump();
}

TEST_F(GraftFileTest, OfTwoWhoMakeTheSameOneMakesIt) {
  for (int round = 0; round < 20; ++round) {
    const std::string name = folder / ("twice" + std::to_string(round) + ".graft");
    const auto make_it = [&] { return GraftFile::create(name, two_wires(), stamp_of("Ann")); };
    auto other = std::async(std::launch::async, make_it);
    const auto here = make_it();
    const auto there = other.get();
    EXPECT_NE(here.has_value(), there.has_value());
    EXPECT_EQ(code_of(here ? there : here), "file-exists");
    EXPECT_TRUE(held(GraftFile::open(name)).document());
  }
}

TEST_F(GraftFileTest, KeepsEveryMemberOfTheDocument) {
  const Graft graft = measured_sample_graft();
  const std::string text = write_graft(graft);
  {
    GraftFile file = make(graft);
    EXPECT_EQ(write_graft(held(file.whole())), text);
  }
  GraftFile again = held(GraftFile::open(path));
  EXPECT_EQ(write_graft(held(again.whole())), text);
  EXPECT_EQ(held(again.document())->revision, 1);
  EXPECT_TRUE(held(again.document())->graft.readings.empty());
}

TEST_F(GraftFileTest, IsOneFileWhenNobodyHasItOpen) {
  {
    GraftFile file = make();
    held(file.commit(set_area(0, 1), 1, stamp_of("Ann")));
  }
  held(held(GraftFile::open(path, {.access = Access::read})).document());
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
    names.push_back(entry.path().filename());
  }
  EXPECT_THAT(names, ElementsAre("job.graft"));
}

TEST_F(GraftFileTest, DoesNotReplaceAFile) {
  make();
  EXPECT_EQ(code_of(GraftFile::create(path, Graft{}, stamp_of("Ben"))), "file-exists");
  GraftFile file = held(GraftFile::open(path));
  EXPECT_EQ(held(file.document())->graft.title, "Two wires");
}

TEST_F(GraftFileTest, CommitsPatchesAndDocuments) {
  GraftFile file = make();
  EXPECT_EQ(held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann"))).revision, 2);
  Graft changed = held(file.document())->graft;
  changed.title = "Three wires";
  EXPECT_EQ(held(file.commit(changed, 2, stamp_of("Ben"))).revision, 3);
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 1);
  EXPECT_EQ(now(file)["title"], "Three wires");
  EXPECT_EQ(held(file.document_at(1))->graft.title, "Two wires");
  EXPECT_EQ((*held(file.document_at(2))->json)["wires"][0]["area_mm2"], 1);
  EXPECT_EQ(code_of(file.document_at(4)), "no-such-revision");
}

TEST_F(GraftFileTest, AnEditThatChangesNothingWritesNothing) {
  GraftFile file = make();
  const Committed same = held(file.commit(set_area(0, 0.5), 1, stamp_of("Ann")));
  EXPECT_FALSE(same.changed);
  EXPECT_EQ(held(file.last_sequence()), 1);
}

TEST_F(GraftFileTest, RefusesWhatWouldNotBeKeptAndWritesNothing) {
  GraftFile file = make();
  const auto refused = [&](const std::string& patch) {
    std::string code = code_of(file.commit(patch, 1, stamp_of("Ann")));
    EXPECT_EQ(held(file.document())->revision, 1) << patch;
    return code;
  };
  EXPECT_EQ(refused("no JSON"), "patch-does-not-apply");
  EXPECT_EQ(refused("{}"), "patch-does-not-apply");
  EXPECT_EQ(refused(std::string(200, '[') + std::string(200, ']')), "patch-does-not-apply");
  EXPECT_EQ(refused(R"([{"op":"replace","path":"/wires/7/id","value":"x"}])"), "patch-does-not-apply");
  EXPECT_EQ(refused(R"([{"op":"test","path":"/wires/0/id","value":"w2"},{"op":"remove","path":"/wires/0"}])"),
            "patch-does-not-apply");
  EXPECT_EQ(refused(R"([{"op":"replace","path":"/version","value":99}])"), "document-not-usable");
  EXPECT_EQ(refused(R"([{"op":"remove","path":"/format"}])"), "document-not-usable");
  EXPECT_EQ(refused(R"([{"op":"add","path":"/wires/0/area_mm2","value":"thick"}])"), "document-not-usable");
  EXPECT_EQ(refused(R"([{"op":"add","path":"/wires/0/thickness","value":1}])"), "document-not-usable");
  EXPECT_EQ(refused(R"([{"op":"add","path":"/readings","value":[{"id":"r","value":1}]}])"),
            "readings-not-edited");
  EXPECT_EQ(refused(R"([{"op":"remove","path":""}])"), "patch-does-not-apply");
  EXPECT_EQ(code_of(file.commit(set_area(0, 1), 2, stamp_of("Ann"))), "no-such-revision");
  EXPECT_EQ(code_of(file.commit(set_area(0, 1), 0, stamp_of("Ann"))), "no-such-revision");
  EXPECT_EQ(code_of(file.commit(set_area(0, 1), 1, {"Ann", "yesterday", ""})), "entry-not-usable");
}

TEST_F(GraftFileTest, MergesChangesOfDifferentPlaces) {
  GraftFile file = make();
  held(file.commit(R"([{"op":"remove","path":"/wires/0"}])", 1, stamp_of("Ann")));
  // Index 1 is w2 in revision 1, and stays w2 although it stands at index 0 by now.
  const Committed second = held(file.commit(set_area(1, 2.5), 1, stamp_of("Ben")));
  EXPECT_TRUE(second.rebased);
  EXPECT_EQ(second.revision, 3);
  ASSERT_EQ(now(file)["wires"].size(), 1U);
  EXPECT_EQ(now(file)["wires"][0]["id"], "w2");
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 2.5);
}

TEST_F(GraftFileTest, TellsTheLoserWhatTheOtherChanged) {
  GraftFile file = make();
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  const auto lost = file.commit(set_area(0, 2.5), 1, stamp_of("Ben"));
  ASSERT_FALSE(lost);
  ASSERT_EQ(lost.error().size(), 1U);
  EXPECT_EQ(lost.error()[0].code, "changed-meanwhile");
  EXPECT_EQ(lost.error()[0].location.pointer, "/wires/0/area_mm2");
  EXPECT_EQ(lost.error()[0].message, "wire w1: area 0.5 -> 1 mm². Since then: Ann (revision 2).");
  EXPECT_EQ(held(file.document())->revision, 2);
  // Done again on what stands there now.
  EXPECT_EQ(held(file.commit(set_area(0, 2.5), 2, stamp_of("Ben"))).revision, 3);
}

TEST_F(GraftFileTest, TellsThatTheOtherTookTheItemOut) {
  GraftFile file = make();
  held(file.commit(R"([{"op":"remove","path":"/wires/1"}])", 1, stamp_of("Ann")));
  const auto lost = file.commit(set_area(1, 2.5), 1, stamp_of("Ben"));
  ASSERT_EQ(code_of(lost), "changed-meanwhile");
  EXPECT_EQ(lost.error()[0].message, "wire w2 removed. Since then: Ann (revision 2).");
  EXPECT_EQ(lost.error()[0].location.pointer, "/wires");
}

TEST_F(GraftFileTest, RefusesAMergeThatLeavesAReferenceToNothing) {
  Graft graft = two_wires();
  graft.devices.resize(1);
  graft.devices[0].id = "lamp";
  graft.devices[0].kind = "lamp";
  GraftFile file = make(graft);
  held(file.commit(R"([{"op":"remove","path":"/devices/0"}])", 1, stamp_of("Ann")));
  const auto lost = file.commit(R"([{"op":"add","path":"/wires/0/to","value":{"at":"lamp","cavity":"58"}}])",
                                1, stamp_of("Ben"));
  EXPECT_EQ(code_of(lost), "changed-meanwhile");
  EXPECT_EQ(held(file.document())->revision, 2);
}

TEST_F(GraftFileTest, UndoesAndRedoesAcrossRestarts) {
  {
    GraftFile file = make();
    held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
    held(file.commit(set_area(0, 1.5), 2, stamp_of("Ann")));
  }
  {
    GraftFile file = held(GraftFile::open(path));
    EXPECT_EQ(held(file.undo(3, stamp_of("Ben"))).revision, 4);
    EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 1);
  }
  {
    GraftFile file = held(GraftFile::open(path));
    held(file.undo(4, stamp_of("Ben")));
    EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 0.5);
    EXPECT_EQ(code_of(file.undo(5, stamp_of("Ben"))), "nothing-to-undo");
  }
  {
    GraftFile file = held(GraftFile::open(path));
    held(file.redo(5, stamp_of("Ann")));
    held(file.redo(6, stamp_of("Ann")));
    EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 1.5);
    EXPECT_EQ(code_of(file.redo(7, stamp_of("Ann"))), "nothing-to-redo");
    EXPECT_TRUE(held(file.possible_steps()).undo);
    EXPECT_FALSE(held(file.possible_steps()).redo);
  }
}

TEST_F(GraftFileTest, ANewEditCutsWhatCouldBeRedone) {
  GraftFile file = make();
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  held(file.undo(2, stamp_of("Ann")));
  EXPECT_TRUE(held(file.possible_steps()).redo);
  held(file.commit(set_area(1, 4.0), 3, stamp_of("Ann")));
  EXPECT_FALSE(held(file.possible_steps()).redo);
  EXPECT_EQ(code_of(file.redo(4, stamp_of("Ann"))), "nothing-to-redo");
  // Undone and made again, it is this edit and not the one that was cut.
  held(file.undo(4, stamp_of("Ann")));
  held(file.redo(5, stamp_of("Ann")));
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 0.5);
  EXPECT_EQ(now(file)["wires"][1]["area_mm2"], 4);
}

TEST_F(GraftFileTest, UndoesBehindAnEditThatFollowedAnUndo) {
  GraftFile file = make();
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  held(file.commit(set_area(0, 1.5), 2, stamp_of("Ann")));
  held(file.undo(3, stamp_of("Ann")));
  held(file.commit(set_area(0, 2.5), 4, stamp_of("Ann")));
  held(file.undo(5, stamp_of("Ann")));
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 1);
  held(file.undo(6, stamp_of("Ann")));
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 0.5);
  held(file.redo(7, stamp_of("Ann")));
  held(file.redo(8, stamp_of("Ann")));
  EXPECT_EQ(now(file)["wires"][0]["area_mm2"], 2.5);
}

TEST_F(GraftFileTest, DoesNotUndoWhatItsAuthorHasNotSeen) {
  GraftFile file = make();
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  EXPECT_EQ(code_of(file.undo(1, stamp_of("Ben"))), "changed-meanwhile");
  EXPECT_EQ(held(file.document())->revision, 2);
}

TEST_F(GraftFileTest, NamesItemsAsPeopleCallThem) {
  Graft graft = two_wires();
  graft.wires[0].signal = "pump feed";
  graft.wires[1].signal = "w2";
  GraftFile file = make(graft);
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  held(file.commit(set_area(1, 1.0), 2, stamp_of("Ann")));
  const auto history = held(file.history(0, 2));
  EXPECT_THAT(history[0].summary, ElementsAre("wire w2: area 0.5 -> 1 mm²"));
  EXPECT_THAT(history[1].summary, ElementsAre("wire pump feed: area 0.5 -> 1 mm²"));
}

TEST_F(GraftFileTest, TellsItsHistoryInWords) {
  GraftFile file = make();
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann", "too thin")));
  held(file.commit(
      R"([{"op":"remove","path":"/wires/1"},{"op":"replace","path":"/title","value":"One wire"}])", 2,
      stamp_of("Ben")));
  held(file.undo(3, stamp_of("Ann")));
  const auto history = held(file.history(0, 10));
  ASSERT_EQ(history.size(), 4U);
  EXPECT_EQ(history[0].kind, RevisionKind::undo);
  EXPECT_THAT(history[0].summary, ElementsAre("title \"One wire\" -> \"Two wires\"", "wire w2 added"));
  EXPECT_THAT(history[1].summary, ElementsAre("title \"Two wires\" -> \"One wire\"", "wire w2 removed"));
  EXPECT_TRUE(history[1].undone);
  EXPECT_THAT(history[2].summary, ElementsAre("wire w1: area 0.5 -> 1 mm²"));
  EXPECT_EQ(history[2].author, "Ann");
  EXPECT_EQ(history[2].reason, "too thin");
  EXPECT_FALSE(history[2].undone);
  EXPECT_THAT(history[3].summary, ElementsAre("started with 0 modules, 0 connectors, 0 devices, 2 wires"));
  const auto part = held(file.history(3, 2));
  ASSERT_EQ(part.size(), 2U);
  EXPECT_EQ(part[0].number, 3);
  EXPECT_EQ(part[1].summary, history[2].summary);
  EXPECT_TRUE(held(file.history(0, 0)).empty());
}

TEST_F(GraftFileTest, RebuildsAnyRevisionBetweenFullCopies) {
  GraftFile file = make();
  for (int i = 1; i <= 100; ++i) held(file.commit(set_area(i % 2, 1.0 + i), i, stamp_of("Ann")));
  for (const int revision : {1, 2, 32, 33, 34, 64, 65, 66, 101}) {
    const int i = revision - 1;
    const Json json = *held(file.document_at(revision))->json;
    const auto at = static_cast<std::size_t>(i % 2);
    EXPECT_EQ(json["wires"][at]["area_mm2"], i > 0 ? 1.0 + i : 0.5) << revision;
  }
}

// ---- readings, ticks, attachments

TEST_F(GraftFileTest, AppendsAReadingOnce) {
  GraftFile file = make();
  const Reading reading{"r1", "t1", 0.15, "ohm", "Ann", "2026-03-01T10:00:00Z"};
  const Appended first = held(file.append(reading));
  const Appended again = held(file.append(reading));
  EXPECT_FALSE(first.already_there);
  EXPECT_TRUE(again.already_there);
  EXPECT_EQ(first.sequence, again.sequence);
  Reading other = reading;
  other.value = 7;
  EXPECT_EQ(code_of(file.append(other)), "id-taken");
  EXPECT_THAT(held(file.readings()), ElementsAre(reading));
}

TEST_F(GraftFileTest, OneBadReadingDoesNotStopTheOthers) {
  GraftFile file = make();
  Reading good{"r1", "t1", 1, "V", "Ann", ""};
  Reading unreported = good;
  unreported.id = "";
  Reading endless = good;
  endless.id = "r2";
  endless.value = std::numeric_limits<double>::infinity();
  Reading broken = good;
  broken.id = "r3";
  broken.unit = "\xff";
  Reading last = good;
  last.id = "r4";
  const auto answers = held(file.append(std::vector<Reading>{good, unreported, endless, broken, last}));
  ASSERT_EQ(answers.size(), 5U);
  EXPECT_EQ(code_of(answers[1]), "entry-not-usable");
  EXPECT_EQ(code_of(answers[2]), "entry-not-usable");
  EXPECT_EQ(code_of(answers[3]), "entry-not-usable");
  EXPECT_EQ(answers[0]->sequence, 2);
  EXPECT_EQ(answers[4]->sequence, 3);
  EXPECT_EQ(held(file.readings()).size(), 2U);
  EXPECT_EQ(held(file.readings_since(2)).size(), 1U);
}

TEST_F(GraftFileTest, TakesADocumentsReadingsAsTheyStand) {
  Graft graft = two_wires();
  graft.readings = {{"r1", "t", 1, "V", "", ""}, {"r1", "t", 2, "V", "", ""}, {"", "t", 3, "V", "", ""}};
  GraftFile file = make(graft);
  EXPECT_EQ(held(file.whole()).readings, graft.readings);
}

TEST_F(GraftFileTest, TheLatestTickOfASubjectCounts) {
  GraftFile file = make();
  held(file.append(Tick{"t1", "move 1", true, "Ann", ""}));
  held(file.append(Tick{"t2", "move 2", true, "Ann", ""}));
  held(file.append(Tick{"t3", "move 1", false, "Ben", ""}));
  EXPECT_TRUE(held(file.append(Tick{"t1", "move 1", true, "Ann", ""})).already_there);
  EXPECT_EQ(code_of(file.append(Tick{"t1", "move 9", true, "Ann", ""})), "id-taken");
  EXPECT_EQ(code_of(file.append(Tick{"t4", "", true, "Ann", ""})), "entry-not-usable");
  const auto ticks = held(file.ticks());
  ASSERT_EQ(ticks.size(), 2U);
  EXPECT_FALSE(ticks[0].done);
  EXPECT_TRUE(ticks[1].done);
  EXPECT_EQ(held(file.all_ticks()).size(), 3U);
}

TEST_F(GraftFileTest, KeepsPhotosAsTheyWereSent) {
  GraftFile file = make();
  const std::string photo = std::string("\xff\xd8\xff\xe0", 4) + std::string(100'000, '\0') + "end";
  const Attachment about{"p1", "step 3", "DSC_1.JPG", "image/jpeg", "Ann", "", 0, ""};
  EXPECT_FALSE(held(file.attach(about, photo)).already_there);
  EXPECT_TRUE(held(file.attach(about, photo)).already_there);
  EXPECT_EQ(code_of(file.attach(about, photo + "x")), "id-taken");
  EXPECT_EQ(held(file.attachment_bytes("p1")), photo);
  EXPECT_EQ(code_of(file.attachment_bytes("p2")), "not-found");
  const auto all = held(file.attachments());
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].bytes, photo.size());
  EXPECT_EQ(all[0].name, "DSC_1.JPG");
  Attachment page = about;
  page.id = "p3";
  EXPECT_EQ(code_of(file.attach(page, "<script>")), "entry-not-usable");
  page.mime = "text/html";
  EXPECT_EQ(code_of(file.attach(page, photo)), "entry-not-usable");
  page.mime = "image/jpeg";
  EXPECT_EQ(code_of(file.attach(page, photo + std::string(largest_attachment_bytes, 'x'))),
            "entry-not-usable");
}

bool holds(const std::string& path, const std::string& secret) {
  return bytes_of(path).find(secret.substr(0, 100)) != std::string::npos;
}

TEST_F(GraftFileTest, ARemovedPhotoLeavesItsBytesAndKeepsItsPlace) {
  const std::string secret(5'000, 'z');
  const std::string photo = "\xff\xd8\xff" + secret;
  const Attachment about{"p1", "step 3", "a.jpg", "image/jpeg", "Ann", "", 0, ""};
  const Removal ben{"Ben", "2026-03-02T10:00:00Z"};
  std::int64_t removed = 0;
  {
    GraftFile file = make();
    held(file.attach(about, photo));
    EXPECT_TRUE(holds(path, secret) || holds(path + "-wal", secret)) << "or the test finds nothing ever";
    EXPECT_EQ(code_of(file.remove_attachment("p2", ben)), "not-found");
    EXPECT_EQ(code_of(file.remove_attachment("p1", {"Ben", "yesterday"})), "entry-not-usable");
    removed = held(file.remove_attachment("p1", ben)).sequence;
    const auto told = held(file.changes_since(removed - 1));
    ASSERT_EQ(told.size(), 1U);
    EXPECT_EQ(told[0].kind, ChangeKind::removal);
    EXPECT_EQ(told[0].id, "p1");
    EXPECT_FALSE(holds(path, secret)) << "nothing of it is left lying";
    EXPECT_FALSE(holds(path + "-wal", secret)) << "nor in the log, while the file is still open";
  }
  EXPECT_FALSE(holds(path, secret));
  GraftFile file = held(GraftFile::open(path));
  const auto all = held(file.attachments());
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].subject, "step 3");
  EXPECT_EQ(all[0].bytes, photo.size());
  ASSERT_TRUE(all[0].removed);
  EXPECT_EQ(*all[0].removed, ben);
  EXPECT_EQ(code_of(file.attachment_bytes("p1")), "removed");
  EXPECT_TRUE(held(file.ticks()).empty()) << "a removal is no move ticked off";
  // Neither a phone that sends its photo once more nor a second removal changes anything.
  EXPECT_TRUE(held(file.attach(about, photo)).already_there);
  EXPECT_EQ(held(file.remove_attachment("p1", {"Cid", "2026-03-03T10:00:00Z"})).sequence, removed);
  EXPECT_EQ(held(file.attachments())[0].removed, ben);
  EXPECT_EQ(held(file.last_sequence()), removed);
}

// ---- watching and sharing

TEST_F(GraftFileTest, TellsWhatChangedSinceANumber) {
  GraftFile file = make();
  held(file.append(Reading{"r1", "t", 1, "V", "Ann", ""}));
  held(file.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  held(file.append(Tick{"t1", "move 1", true, "Ann", ""}));
  held(file.attach({"p1", "", "", "image/png", "", "", 0, ""}, "\x89PNG\r\n\x1a\n"));
  EXPECT_EQ(held(file.last_sequence()), 5);
  const auto all = held(file.changes_since(1));
  ASSERT_EQ(all.size(), 4U);
  EXPECT_EQ(all[0].kind, ChangeKind::reading);
  EXPECT_EQ(all[0].id, "r1");
  EXPECT_EQ(all[1].kind, ChangeKind::revision);
  EXPECT_EQ(all[1].id, "2");
  EXPECT_EQ(all[2].kind, ChangeKind::tick);
  EXPECT_EQ(all[3].kind, ChangeKind::attachment);
  EXPECT_EQ(all[3].sequence, 5);
  EXPECT_EQ(held(file.changes_since(1, 2)).size(), 2U);
  EXPECT_TRUE(held(file.changes_since(5)).empty());
}

TEST_F(GraftFileTest, TwoOpenFilesSeeEachOther) {
  GraftFile one = make();
  GraftFile two = held(GraftFile::open(path));
  EXPECT_EQ(held(two.last_sequence()), 1);
  held(one.commit(set_area(0, 1.0), 1, stamp_of("Ann")));
  EXPECT_EQ(held(two.last_sequence()), 2);
  EXPECT_EQ(now(two)["wires"][0]["area_mm2"], 1);
  EXPECT_TRUE(held(two.commit(set_area(1, 6.0), 1, stamp_of("Ben"))).rebased);
  EXPECT_EQ(now(one), now(two));
  EXPECT_EQ(held(one.document())->revision, 3);
}

TEST_F(GraftFileTest, AFileOpenedForReadingIsNotWritten) {
  make();
  GraftFile file = held(GraftFile::open(path, {.access = Access::read}));
  EXPECT_EQ(code_of(file.commit(set_area(0, 1.0), 1, stamp_of("Ann"))), "read-only");
  EXPECT_EQ(code_of(file.append(Reading{"r1", "t", 1, "V", "", ""})), "read-only");
  EXPECT_EQ(held(file.document())->graft.wires.size(), 2U);
}

// Earlier versions stored a practice reading with nothing but its id to tell.
TEST(Marks, AReadingOfAnEarlierVersionIsReadAndItsResendIsTheSame) {
  const ScratchFolder folder;
  const std::string path = folder / "old.graft";
  Reading reading{"practice-in-band-a", "t1", 1.5, "V", "Ann", "2026-03-01T10:00:00Z"};
  {
    GraftFile file = held(GraftFile::create(path, Graft{}, stamp_of("Ann")));
    held(file.append(reading));
  }
  {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    EXPECT_EQ(database.exec(
                  "UPDATE readings SET body = '{\"id\":\"practice-in-band-a\",\"test\":\"t1\",\"value\":1.5,"
                  "\"unit\":\"V\",\"author\":\"Ann\",\"time\":\"2026-03-01T10:00:00Z\"}'"),
              1);
  }
  GraftFile file = held(GraftFile::open(path));
  // It stays where it is, but is neither shown nor exported: nothing was measured.
  EXPECT_TRUE(held(file.readings()).empty());
  EXPECT_TRUE(held(file.whole()).readings.empty());
  EXPECT_TRUE(held(file.append(reading)).already_there);
  reading.value = 2.0;
  EXPECT_EQ(code_of(file.append(reading)), "id-taken");
}

}  // namespace
}  // namespace loomgraft::store_graft_file_test
