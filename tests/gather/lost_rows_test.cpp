// No row disappears in silence: one line of a table is spoilt, and every other row is still a pin or named in a
// Problem. Tables of all forms, invented; where the folder of real tables is there, those as well.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <random>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "gather/read_tables.h"

namespace loomgraft::gather_lost_rows_test {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

std::set<int> lines_with_pins(const ReadReport& report) {
  std::set<int> lines;
  for (const PinTable& table : report.tables)
    for (const TablePin& pin : table.pins) lines.insert(pin.source.line);
  return lines;
}

// A spoilt line: a blank more or less, an indent, a character changed or lost, a mark put in.
std::string spoilt(std::string line, std::mt19937& random) {
  const auto below = [&](std::size_t n) { return static_cast<std::size_t>(random() % n); };
  const std::size_t at = line.empty() ? 0 : below(line.size());
  switch (below(7)) {
    case 0:
      return line.insert(at, " ");
    case 1:
      return "  " + line;
    case 2:
      return line.empty() ? line : line.erase(at, 1);
    case 3:
      if (!line.empty()) line[at] = static_cast<char>('!' + below(90));
      return line;
    case 4:
      return line.insert(at, std::string(1, "|,;:\t\"'`#[{"[below(11)]));
    case 5:
      return line + " ";
    default:
      return "Remark: see the other sheet";
  }
}

// Lines of rows that were read before and are neither read nor named after the mutation of another line.
std::vector<int> lost_lines(const std::string& text, const std::string& name, int spoilt_line,
                            const std::string& replacement, const std::set<int>& before) {
  std::vector<std::string> lines = lines_of(text);
  lines[static_cast<std::size_t>(spoilt_line) - 1] = replacement;
  const ReadReport report = read_tables(joined(lines), name);
  std::set<int> named = lines_with_pins(report);
  bool whole = false;
  for (const Problem& problem : report.problems) {
    named.insert(problem.location.line);
    whole = whole || problem.code == "no-pin-table" || problem.code == "table-skipped";
  }
  std::vector<int> lost;
  for (const int line : before)
    if (line != spoilt_line && !named.contains(line)) lost.push_back(line);
  if (whole) lost.clear();  // said of the table or the file as a whole
  return lost;
}

void expect_nothing_lost(const std::string& text, const std::string& name, int rounds) {
  const std::set<int> before = lines_with_pins(read_tables(text, name));
  ASSERT_FALSE(before.empty()) << name;
  const std::vector<int> rows(before.begin(), before.end());
  std::mt19937 random(7);
  for (int round = 0; round < rounds; ++round) {
    const int line = rows[random() % rows.size()];
    const std::string replacement = spoilt(lines_of(text)[static_cast<std::size_t>(line) - 1], random);
    const std::vector<int> lost = lost_lines(text, name, line, replacement, before);
    EXPECT_TRUE(lost.empty()) << name << ": line " << line << " made into \"" << replacement << "\", line "
                              << (lost.empty() ? 0 : lost.front()) << " and " << lost.size()
                              << " in all are lost";
    if (!lost.empty()) return;
  }
}

const std::map<std::string, std::string>& invented() {
  static const std::map<std::string, std::string> tables{
      {"a.csv",
       "Pin,Signal,Colour\n1,Battery,RD\n2,Earth,BK\n3,Horn relay,GN\n4,Fog lamp,YE\n5,CAN high,WH\n"},
      {"b.md",
       "| Pin | Signal |\n|---|---|\n| 1 | Battery |\n| 2 | Earth |\n| 3 | Horn |\n| 4 | Fog lamp |\n"},
      {"c.txt",
       "Pin  Colour  Signal\n1    RD      Battery\n2    BK      Earth\n3    GN      Horn\n4    YE      "
       "Fog\n"},
      {"d.txt", "Pin 1 - Battery\nPin 2 - Earth\nPin 3 - Horn relay\nPin 4 - Fog lamp\nPin 5 - CAN high\n"},
      {"e.yaml",
       "pins:\n  - pin: 1\n    signal: Battery\n  - pin: 2\n    signal: Earth\n  - pin: 3\n    signal: "
       "Horn\n"},
      {"f.json",
       "{\"pins\": [\n{\"pin\": 1, \"signal\": \"Battery\"},\n{\"pin\": 2, \"signal\": \"Earth\"},\n"
       "{\"pin\": 3, \"signal\": \"Horn\"}\n]}\n"},
      {"g.html",
       "<table>\n<tr><th>Pin</th><th>Use</th></tr>\n<tr><td>1</td><td>Battery</td></tr>\n"
       "<tr><td>2</td><td>Earth</td></tr>\n<tr><td>3</td><td>Horn</td></tr>\n</table>\n"},
      {"h.txt", "A  Battery\nB  Earth\nC  Horn relay\nD  Fog lamp\nE  CAN high\nF  CAN low\n"},
      {"i.rst", "=== ======\nPin Use\n=== ======\n1   Batt\n2   Earth\n3   Horn\n4   Fog\n=== ======\n"}};
  return tables;
}

TEST(LostRows, OneSpoiltLineLosesNoOtherRow) {
  for (const auto& [name, text] : invented()) expect_nothing_lost(text, name, 400);
}

TEST(LostRows, OneSpoiltLineLosesNoOtherRowOfRealTables) {
  const char* chosen = std::getenv("LOOMGRAFT_REAL");
  const std::filesystem::path folder =
      chosen != nullptr ? chosen : std::filesystem::path(LOOMGRAFT_ROOT "/../shared/real");
  if (!std::filesystem::exists(folder / "pins")) GTEST_SKIP() << "no folder " << folder;
  std::set<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder / "pins")) files.insert(entry.path());
  for (const std::filesystem::path& path : files) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    expect_nothing_lost(text.str(), path.filename().string(), 100);
  }
}

}  // namespace
}  // namespace loomgraft::gather_lost_rows_test
