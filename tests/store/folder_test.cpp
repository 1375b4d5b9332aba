#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "loom/graft_json.h"
#include "store/attachment_folder.h"
#include "store/graft_folder.h"
#include "tests/loom/sample_graft.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_folder_test {
namespace {

TEST(GraftFolder, MakesListsAndOpensByName) {
  const ScratchFolder scratch;
  const GraftFolder folder = held(GraftFolder::open(scratch.path()));
  held(folder.create("Van (2)", "Ladder lamp", stamp_of("Ann")));
  held(folder.create("B\xc3\xa4r", "", stamp_of("Ann")));
  write_bytes(scratch / "broken.graft", "nothing");
  write_bytes(scratch / "notes.txt", "nothing");
  write_bytes(scratch / ".hidden.graft", "nothing");
  EXPECT_EQ(code_of(folder.create("Van (2)", "", stamp_of("Ann"))), "file-exists");
  const auto list = folder.list();
  ASSERT_EQ(list.size(), 3U);
  EXPECT_EQ(list[1].name, "Van (2)");
  EXPECT_EQ(list[1].title, "Ladder lamp");
  EXPECT_EQ(list[1].revision, 1);
  EXPECT_EQ(list[1].changed, "2026-03-01T10:00:00Z");
  EXPECT_EQ(list[2].name, "broken");
  EXPECT_EQ(list[2].problems.front().code, "not-a-graft-file");
  EXPECT_EQ(held(held(folder.open_file("Van (2)")).document())->graft.title, "Ladder lamp");
  EXPECT_EQ(code_of(folder.open_file("absent")), "not-found");
  std::vector<std::string> listed;
  for (const FolderEntry& entry : folder.list()) listed.push_back(entry.name);
  EXPECT_EQ(folder.names(), listed);
  EXPECT_EQ(code_of(GraftFolder::open(scratch / "absent")), "not-found");
}

TEST(GraftFolder, NoNameLeadsOut) {
  const ScratchFolder scratch;
  std::filesystem::create_directory(scratch / "in");
  const GraftFolder folder = held(GraftFolder::open(scratch / "in"));
  held(GraftFile::create(scratch / "out.graft", Graft{}, stamp_of("Ann")));
  std::filesystem::create_symlink(scratch / "out.graft", scratch / "in/link.graft");
  const std::string unsafe[] = {"",
                                ".",
                                "..",
                                "../out",
                                "/out",
                                "in/../../out",
                                ".hidden",
                                "end.",
                                " blank",
                                "blank ",
                                "a\\b",
                                "a\nb",
                                "a:b",
                                "a\xffz",
                                "a*",
                                "link",
                                "~",
                                "%2e%2e",
                                "a\"b",
                                "a\xe2\x80\xae"
                                "b",
                                std::string("a\0b", 3),
                                std::string(101, 'a')};
  for (const std::string& name : unsafe) {
    EXPECT_EQ(code_of(folder.open_file(name)), "unsafe-name") << name;
    EXPECT_EQ(code_of(folder.create(name, "", stamp_of("Ann"))), "unsafe-name") << name;
  }
  EXPECT_TRUE(folder.list().empty());
}

TEST(AttachmentFolder, CarriesPhotosAndTicksOver) {
  const ScratchFolder scratch;
  GraftFile from = held(GraftFile::create(scratch / "from.graft", measured_sample_graft(), stamp_of("Ann")));
  const std::string photo = std::string("\x89PNG\r\n\x1a\n\0\0", 10) + "bytes";
  held(from.attach({"p1", "step 3", "../../evil.png", "image/png", "Ann", "2026-03-01T10:00:00Z", 0, ""},
                   photo));
  held(from.append(Tick{"t1", "move 1", true, "Ann", ""}));
  held(from.append(Tick{"t2", "move 1", false, "Ben", ""}));
  const FolderCount written = held(write_attachment_folder(from, scratch / "photos"));
  EXPECT_EQ(written.attachments, 1U);
  GraftFile to = held(GraftFile::create(scratch / "to.graft", held(from.whole()), stamp_of("Ben")));
  for (int times = 0; times < 2; ++times) {
    const FolderCount read = held(read_attachment_folder(to, scratch / "photos"));
    EXPECT_EQ(read.attachments, 1U);
    EXPECT_EQ(read.ticks, 2U);
  }
  EXPECT_EQ(held(to.attachment_bytes("p1")), photo);
  EXPECT_EQ(held(to.attachments())[0].name, "../../evil.png");
  EXPECT_EQ(held(to.all_ticks()), held(from.all_ticks()));
  EXPECT_EQ(write_graft(held(to.whole())), write_graft(measured_sample_graft()));
}

TEST(AttachmentFolder, CarriesOverThatAPhotoWasRemoved) {
  const ScratchFolder scratch;
  GraftFile from = held(GraftFile::create(scratch / "from.graft", Graft{}, stamp_of("Ann")));
  GraftFile has_it = held(GraftFile::create(scratch / "has_it.graft", Graft{}, stamp_of("Ann")));
  GraftFile has_none = held(GraftFile::create(scratch / "has_none.graft", Graft{}, stamp_of("Ann")));
  const Attachment about{"p1", "step 3", "a.png", "image/png", "Ann", "", 0, ""};
  const std::string photo = "\x89PNG\r\n\x1a\nbytes";
  const Removal ben{"Ben", "2026-03-02T10:00:00Z"};
  held(from.attach(about, photo));
  held(has_it.attach(about, photo));
  held(from.remove_attachment("p1", ben));
  held(write_attachment_folder(from, scratch / "photos"));
  EXPECT_FALSE(std::filesystem::exists(scratch / "photos/0001.png"));
  for (GraftFile* to : {&has_it, &has_none}) {
    for (int times = 0; times < 2; ++times) held(read_attachment_folder(*to, scratch / "photos"));
    EXPECT_EQ(code_of(to->attachment_bytes("p1")), "removed");
    EXPECT_EQ(held(to->attachments())[0].removed, ben);
    EXPECT_EQ(held(to->attachments())[0].bytes, photo.size());
    EXPECT_TRUE(held(to->remove_attachment("p1", ben)).already_there);
  }
}

TEST(AttachmentFolder, RefusesWhatIsNotItsOwn) {
  const ScratchFolder scratch;
  GraftFile file = held(GraftFile::create(scratch / "job.graft", Graft{}, stamp_of("Ann")));
  EXPECT_EQ(code_of(read_attachment_folder(file, scratch.path())), "not-found");
  const auto with_list = [&](const std::string& list) {
    write_bytes(scratch / "attachments.json", list);
    return code_of(read_attachment_folder(file, scratch.path()));
  };
  EXPECT_EQ(with_list("{}"), "attachment-list-not-usable");
  const std::string head = R"({"format":"loomgraft-attachments","version":1,"attachments":[)";
  EXPECT_EQ(with_list(head + R"({"file":"../job.graft","id":"x"}]})"), "attachment-list-not-usable");
  EXPECT_EQ(with_list(head + R"({"file":7}]})"), "attachment-list-not-usable");
  EXPECT_EQ(with_list(head + R"({"file":"absent.jpg","id":"x"}]})"), "not-found");
  EXPECT_EQ(with_list(head + R"({"file":"job.graft","id":"x","mime":"image/png","sha256":""}]})"), "damaged");
}

}  // namespace
}  // namespace loomgraft::store_folder_test
