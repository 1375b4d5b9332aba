// The program as its users call it: exit status, JSON, and what bad input does.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

namespace {

using ::testing::HasSubstr;
using Json = nlohmann::json;

struct Outcome {
  int status = -1;
  std::string out;
};

const std::string demo = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/";

Outcome run(const std::string& arguments) {
  const std::string command = std::string(LOOMGRAFT_BUILD) + "/loomgraft " + arguments + " 2>/dev/null";
  Outcome outcome;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    outcome.out.append(buffer.data(), n);
  const int status = pclose(pipe);
  outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return outcome;
}

std::string written(const std::string& name, const std::string& content) {
  const std::string path = std::string(LOOMGRAFT_BUILD) + "/tests/" + name;
  std::ofstream(path, std::ios::binary) << content;
  return path;
}

TEST(Commands, TheDemoComparesAsItWasDesigned) {
  const Outcome outcome =
      run("compare " + demo + "found-manual.csv+" + demo + "found-forum.md " + demo + "donor.txt --json");
  EXPECT_EQ(outcome.status, 1) << "a driver would burn";
  const Json report = Json::parse(outcome.out);
  std::string verdicts;
  for (const Json& c : report["circuits"]) {
    if (c["found"].is_null() || c["verdict"] == "keep") continue;
    verdicts += c["verdict"].get<std::string>() + " " + c["found"]["connector"].get<std::string>() + "-" +
                c["found"]["cavity"].get<std::string>() + ";";
  }
  for (const char* wanted : {"shift C2-12", "shift C2-22", "shift C2-32", "shift C3-9", "shift C3-10",
                             "clash C3-1", "clash C2-29"}) {
    EXPECT_THAT(verdicts, HasSubstr(wanted));
  }
  EXPECT_EQ(report["move_counts"]["parkings"], 1);
  EXPECT_EQ(report["summary"]["unsure"], 0);
  EXPECT_FALSE(report["questions"].empty()) << "two sources disagree on three cavities";
}

TEST(Commands, TheSameInputGivesTheSameBytes) {
  const std::string call = "compare " + demo + "found-manual.csv " + demo + "donor.txt --json";
  EXPECT_EQ(run(call).out, run(call).out);
}

TEST(Commands, BadInputEndsWithStatusTwoAndAProblem) {
  const std::string junk = written("junk.bin", std::string("\0\1\2\3\377\376\0x", 8));
  const std::string empty = written("empty.csv", "");
  for (const std::string& file : {junk, empty, std::string("/no/such/file"), std::string("/")}) {
    const Outcome outcome = run("read " + file + " --json");
    EXPECT_EQ(outcome.status, 2) << file;
    EXPECT_FALSE(Json::parse(outcome.out)["problems"].empty()) << file;
    EXPECT_EQ(run("compare " + file + " " + demo + "donor.txt").status, 2) << file;
  }
  EXPECT_EQ(run("no-such-command").status, 2);
}

TEST(Commands, MarkupInNamesStaysText) {
  const std::string table =
      written("markup.csv", "Pin,Signal\n1,<img src=x onerror=alert(1)>\n2,\"=CMD()\"\n");
  const std::string folder = std::string(LOOMGRAFT_BUILD) + "/tests/faces";
  const Outcome drawn = run("draw faces " + table + " -o " + folder);
  ASSERT_EQ(drawn.status, 0);
  std::ifstream svg(drawn.out.substr(0, drawn.out.find('\n')));
  const std::string text((std::istreambuf_iterator<char>(svg)), {});
  EXPECT_THAT(text, testing::Not(HasSubstr("<img")));
  EXPECT_THAT(run("read " + table + " --csv").out, HasSubstr("'=CMD"));
}

TEST(Commands, ADiagramIsDrawnOfAGraftAModuleOrACircuit) {
  const std::string graft = demo + "graft.json";
  const std::string file = std::string(LOOMGRAFT_BUILD) + "/tests/diagram.svg";
  for (const std::string& options :
       {std::string(""), std::string(" --show difference --black"), std::string(" --module found --width 90"),
        std::string(" --show planned --circuit 'PTO valve'")}) {
    const Outcome drawn = run("draw diagram " + graft + options + " -o " + file);
    EXPECT_EQ(drawn.status, 0) << options;
    EXPECT_THAT(drawn.out, HasSubstr("crossing")) << options;
    std::ifstream svg(file);
    const std::string text((std::istreambuf_iterator<char>(svg)), {});
    EXPECT_THAT(text, HasSubstr("data-module=\"found\"")) << options;
  }
  const Outcome sheets = run("draw diagram " + graft + " --paper a4 --revision r3 -o " + file);
  EXPECT_EQ(sheets.status, 0);
  EXPECT_THAT(sheets.out, HasSubstr("tests/diagram-1.svg\n"));
  EXPECT_THAT(sheets.out, HasSubstr(" sheets of 297 x 210 mm, "));
  std::ifstream second(std::string(LOOMGRAFT_BUILD) + "/tests/diagram-2.svg");
  EXPECT_THAT(std::string((std::istreambuf_iterator<char>(second)), {}), HasSubstr(">revision r3</text>"));
  const std::string page = std::string(LOOMGRAFT_BUILD) + "/tests/diagram.html";
  EXPECT_EQ(run("draw diagram " + graft + " --paper a3 --portrait -o " + page).status, 0);
  std::ifstream html(page);
  EXPECT_THAT(std::string((std::istreambuf_iterator<char>(html)), {}), HasSubstr("@page{size:297mm 420mm"));
  EXPECT_NE(run("draw diagram " + graft + " --paper a5 -o " + file).status, 0);
  EXPECT_EQ(run("draw diagram " + graft + " --circuit nonsense -o " + file).status, 1);
  EXPECT_EQ(run("draw diagram " + graft + " -o /no/such/folder/x.svg").status, 2);
  EXPECT_EQ(run("draw diagram /no/such/file -o " + file).status, 2);
}

TEST(Commands, ADocumentIsMadeCheckedAndCompared) {
  const std::string file = std::string(LOOMGRAFT_BUILD) + "/tests/van.json";
  EXPECT_EQ(
      run("new " + file + " --replace --found " + demo + "found-manual.csv --donor " + demo + "donor.txt")
          .status,
      0);
  EXPECT_EQ(run("new " + file).status, 2) << "an existing document is not overwritten";
  EXPECT_NE(run("check " + file).status, 2);
  EXPECT_EQ(run("compare " + file + "#found " + file + "#donor").status, 1);
  EXPECT_EQ(run("compare " + file + "#found " + file + "#nobody").status, 2);
}

TEST(Commands, CompareTakesWhatAPersonSaidOfTwoPins) {
  const std::string file = std::string(LOOMGRAFT_BUILD) + "/tests/answered.json";
  const auto write = [&](const std::string& answers) {
    const auto module = [](const std::string& id, const std::string& signal) {
      return R"({"id":")" + id + R"(","role":")" + id + R"(","connectors":[")" + id +
             R"(.C1"],"pins":[{"connector":")" + id + R"(.C1","cavity":"1","signal":")" + signal + R"("}]})";
    };
    std::ofstream(file) << R"({"format":"loomgraft","version":1,"connectors":[{"id":"found.C1","name":"C1"},)"
                        << R"({"id":"donor.C1","name":"C1"}],"modules":[)" << module("found", "Step light")
                        << "," << module("donor", "Roof hatch motor") << "]" << answers << "}";
  };
  const std::string call = "compare " + file + "#found " + file + "#donor";
  write("");
  const std::string before = run(call + " --json").out;
  EXPECT_EQ(before.find("decided"), std::string::npos);
  write(R"(,"circuit_answers":[{"id":"a","found":{"connector":"found.C1","cavity":"1"},)"
        R"("donor":{"connector":"donor.C1","cavity":"1"}}])");
  EXPECT_NE(run(call + " --json").out.find("\"decided\": true"), std::string::npos);
  EXPECT_NE(run(call + " --all").out.find("decided"), std::string::npos);
  const std::string copy = std::string(LOOMGRAFT_BUILD) + "/tests/answered_copy.json";
  std::filesystem::copy_file(file, copy, std::filesystem::copy_options::overwrite_existing);
  EXPECT_EQ(run("compare " + file + "#found " + copy + "#donor --json").out, before)
      << "what was said of one document's donor says nothing of another's";
  write(R"(,"circuit_answers":[{"id":"a","found":{"connector":"found.C1","cavity":"7"},)"
        R"("donor":{"connector":"donor.C1","cavity":"1"}}])");
  EXPECT_NE(run(call + " --json").out.find("/circuit_answers/0/found"), std::string::npos);
}

TEST(Commands, GraftFilesTakeAndGiveDocuments) {
  const std::string folder = std::string(LOOMGRAFT_BUILD) + "/tests/";
  const std::string document = folder + "stored.json";
  const std::string file = folder + "stored.graft";
  const std::string saved = folder + "saved.graft";
  for (const std::string& old : {file, saved}) std::remove(old.c_str());
  run("new " + document + " --replace --found " + demo + "found-manual.csv --donor " + demo + "donor.txt");
  EXPECT_EQ(run("import " + document + " " + file + " --author Ann --time 2026-03-01T10:00:00Z").status, 0);
  EXPECT_EQ(run("import " + document + " " + file).status, 2) << "an existing file is not overwritten";
  EXPECT_EQ(run("export " + file).out, run("export " + file + " --revision 1").out);
  EXPECT_EQ(Json::parse(run("export " + file).out), Json::parse(std::ifstream(document)));
  const Json history = Json::parse(run("history " + file + " --json").out);
  ASSERT_EQ(history["history"].size(), 1u);
  EXPECT_EQ(history["history"][0]["author"], "Ann");
  EXPECT_EQ(history["history"][0]["time"], "2026-03-01T10:00:00Z");
  EXPECT_EQ(run("compare " + file + "#found " + file + "#donor").out,
            run("compare " + document + "#found " + document + "#donor").out);
  EXPECT_NE(run("check " + file).status, 2);
  EXPECT_EQ(run("recover " + file + " -o " + saved).status, 0);
  EXPECT_EQ(run("export " + saved).out, run("export " + file).out);
  EXPECT_EQ(run("history " + document).status, 2);
  EXPECT_EQ(run("export " + file + ".absent").status, 2);
}

TEST(Commands, TheRightDonorRanksFirst) {
  const Outcome outcome = run("rank " + demo + "found-manual.csv " + demo + "donor-wrong-generation.csv " +
                              demo + "donor-automatic.md " + demo + "donor.txt --json");
  EXPECT_EQ(outcome.status, 0);
  const Json report = Json::parse(outcome.out);
  ASSERT_EQ(report["donors"].size(), 3u);
  EXPECT_THAT(report["donors"][0]["id"].get<std::string>(), "donor3");
}

}  // namespace
