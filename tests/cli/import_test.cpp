// `loomgraft import`: nothing is written before a check, and what cannot be used is said.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/cli/program.h"

namespace loomgraft {
namespace {

using Json = nlohmann::json;
using testing::HasSubstr;

const std::string demo = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json";

std::string fresh_folder(const std::string& name) {
  const std::string folder = std::string(LOOMGRAFT_BUILD) + "/tests/" + name;
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder + "/";
}

std::string written(const std::string& path, const std::string& text) {
  std::ofstream(path) << text;
  return path;
}

Json exported(const std::string& file) {
  return Json::parse(run_program("export " + file).out);
}

Json item(const Json& document, const char* list, const std::string& id) {
  for (const Json& one : document.at(list)) {
    if (one.at("id") == id) return one;
  }
  return nullptr;
}

TEST(Import, ADocumentGoesIntoAFolderUnderItsTitle) {
  const std::string folder = fresh_folder("import_folder");
  const ProgramRun checked = run_program("import " + demo + " " + folder + " --check");
  EXPECT_EQ(checked.status, 0) << checked.out;
  EXPECT_TRUE(std::filesystem::is_empty(folder)) << "a check writes nothing";
  EXPECT_EQ(run_program("import " + demo + " " + folder).status, 0);
  EXPECT_EQ(run_program("import " + demo + " " + folder).status, 0);
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    files.push_back(entry.path().filename().string());
  EXPECT_EQ(files.size(), 2U) << "the second gets a name of its own";
  EXPECT_EQ(exported(folder + files[0]), exported(folder + files[1]));
}

TEST(Import, ADocumentWithErrorsIsNotTaken) {
  const std::string folder = fresh_folder("import_errors");
  Json document = Json::parse(std::ifstream(demo));
  document["wires"][0]["id"] = document["wires"][1]["id"];
  const std::string wrong = written(folder + "wrong.json", document.dump());
  const ProgramRun outcome = run_program("import " + wrong + " " + folder + "wrong.graft");
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.out, HasSubstr("error"));
  EXPECT_FALSE(std::filesystem::exists(folder + "wrong.graft"));
  EXPECT_EQ(run_program("import " + written(folder + "none.json", "{}") + " " + folder + "x.graft").status,
            2);
}

TEST(Import, AGraftFileIsReplacedByItsNextRevision) {
  const std::string folder = fresh_folder("import_replace");
  const std::string file = folder + "job.graft";
  Json document = Json::parse(std::ifstream(demo));
  document["title"] = "Earlier";
  ASSERT_EQ(run_program("import " + written(folder + "a.json", document.dump()) + " " + file).status, 0);
  EXPECT_EQ(run_program("import " + demo + " " + file).status, 2) << "not without --replace";
  EXPECT_EQ(run_program("import " + demo + " " + file + " --replace --check").status, 0);
  EXPECT_EQ(exported(file)["title"], "Earlier");
  EXPECT_EQ(run_program("import " + demo + " " + file + " --replace").status, 0);
  EXPECT_NE(exported(file)["title"], "Earlier");
  EXPECT_EQ(Json::parse(run_program("history " + file + " --json").out)["history"].size(), 2U);
  // And a graft file is a source like any other.
  EXPECT_EQ(run_program("import " + file + " " + folder + "copy.graft").status, 0);
  EXPECT_EQ(exported(folder + "copy.graft"), exported(file));
}

TEST(Import, WiresOutOfATableChangeAndJoinTheLoom) {
  const std::string folder = fresh_folder("import_wires");
  const std::string file = folder + "job.graft";
  ASSERT_EQ(run_program("import " + demo + " " + file).status, 0);
  const std::string table = written(folder + "wires.csv",
                                    "Id;Name;From;To;Farbe;Size, AWG;Length (cm);Remark\n"
                                    "w_s7_2;;;;GN/YE;18;250;\n"
                                    ";spare lead;F4:2;C2-30;RD;;1.5 m;kept\n");
  const std::string call = "import " + table + " " + file + " --table wires";
  const Json before = exported(file);
  const ProgramRun checked = run_program(call + " --check");
  EXPECT_EQ(checked.status, 0) << checked.out;
  EXPECT_THAT(checked.out, HasSubstr("Remark")) << "what is not used is named";
  EXPECT_EQ(exported(file), before);
  const ProgramRun taken = run_program(call);
  ASSERT_EQ(taken.status, 0) << taken.out;
  const Json after = exported(file);
  const Json changed = item(after, "wires", "w_s7_2");
  EXPECT_EQ(changed["colour"]["base"], "GN");
  EXPECT_EQ(changed["colour"]["tracer"], "YE");
  EXPECT_NEAR(changed["area_mm2"].get<double>(), 0.823, 0.001);  // ASTM B258, AWG 18
  EXPECT_DOUBLE_EQ(changed["length_mm"].get<double>(), 2500.0);
  EXPECT_EQ(changed["from"], item(before, "wires", "w_s7_2")["from"]) << "an empty cell leaves what is there";
  EXPECT_EQ(after["wires"].size(), before["wires"].size() + 1);
  const Json added = after["wires"].back();
  EXPECT_EQ(added["from"]["at"], "F4");
  EXPECT_EQ(added["to"]["cavity"], "30");
  EXPECT_DOUBLE_EQ(added["length_mm"].get<double>(), 1500.0);
  EXPECT_THAT(run_program(call).out, HasSubstr("0 added")) << "the same again changes nothing";
}

TEST(Import, RowsThatCannotBeUsedStopTheTableUnlessTheOthersAreWanted) {
  const std::string folder = fresh_folder("import_rows");
  const std::string file = folder + "job.graft";
  ASSERT_EQ(run_program("import " + demo + " " + file).status, 0);
  const std::string table = written(folder + "fuses.csv",
                                    "Name,Rating (A),Place\n"
                                    "trailer socket fuse,15 A,\n"
                                    "heated seat fuse,lots,\n"
                                    "roof lamp fuse,10,attic\n");
  const Json before = exported(file);
  const ProgramRun refused = run_program("import " + table + " " + file + " --table fuses");
  EXPECT_EQ(refused.status, 2);
  EXPECT_THAT(refused.out, HasSubstr("fuses.csv:3"));
  EXPECT_THAT(refused.out, HasSubstr("attic"));
  EXPECT_EQ(exported(file), before);
  const ProgramRun taken = run_program("import " + table + " " + file + " --table fuses --usable-rows");
  EXPECT_EQ(taken.status, 1) << taken.out;
  const Json fuse = item(exported(file), "devices", "trailer_socket_fuse");
  EXPECT_EQ(fuse["kind"], "fuse");
  EXPECT_DOUBLE_EQ(fuse["rating_a"].get<double>(), 15.0);
  const std::string foreign = written(folder + "other.csv", "apples,pears\n1,2\n");
  EXPECT_EQ(run_program("import " + foreign + " " + file + " --table places").status, 2);
  EXPECT_EQ(run_program("import " + table + " " + file + " --table screws").status, 2);
}

}  // namespace
}  // namespace loomgraft
