// Tables written by others, as the world keeps them. Skipped where the folder is absent.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "gather/read_tables.h"

namespace loomgraft::gather_real_tables_test {
namespace {

std::filesystem::path folder() {
  const char* chosen = std::getenv("LOOMGRAFT_REAL");
  return chosen != nullptr ? std::filesystem::path(chosen)
                           : std::filesystem::path(LOOMGRAFT_ROOT "/../shared/real");
}

std::string content_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::vector<std::string> split(const std::string& text, char mark) {
  std::vector<std::string> parts;
  std::istringstream stream(text);
  for (std::string part; std::getline(stream, part, mark);) parts.push_back(part);
  return parts;
}

std::string run(int from, int to) {
  std::string text;
  for (int i = from; i <= to; ++i) text += std::to_string(i) + "|";
  return text;
}

// The cavities of each file, counted by hand from the lines of the file.
const std::map<std::string, std::string>& cavities_of_files() {
  static const std::map<std::string, std::string> all{
      {"fome_88bmw.yaml",
       "PPS1|Aux PPS2|Aux TPS2|Aux "
       "TPS3|VIN5|VIN6|1|2|3|4|5|7|8|16|17|23|24|25|27|29|31|32|33|35|41|47|50|51|52|56|73|77|78|Aux "
       "MAP|Aux BARO"},
      {"fome_8chan-C_cc71f06.yaml", "17C|6C|7C|18C|22C|23C|24C|25C|26C|31C|34C"},
      {"fome_8chan-C_d25a0ef.yaml", "25C|31C|32C|10C|14C|15C|16C|17C|1C|6C|9C"},
      {"fome_harley81_57f2b65.yaml",
       "1|2|3|4|5|6|7|8|11|20|21|24|25|27|29|30|36|37|38|39|41|42|43|44|45|46|49|51|52|53|55|66|67|70|74"},
      {"fome_harley81_a2ea8b9.yaml",
       "auxMain|auxWastegate|1|2|3|4|5|6|7|8|11|20|21|24|25|27|29|30|32|34|36|37|38|39|41|42|43|44|45|46|49|"
       "51|52|53|55|61|63|66|"
       "67|70|72|74|78|79"},
      {"fomewiki_wideband_module.md", run(1, 6) + run(1, 12)},
      {"gevcu_pinout_prose_366a3f3.txt", "1|3|7|9|10|19|20|21|22|23|24|26|30|32"},
      {"gevcu_pinout_table_b20fa12.txt", run(1, 35) + run(1, 35)},
      {"ovms_Connector_TeslaModelS_X437.txt", "1|2|3|4|5|6|7|9|10|11|12"},
      {"ovms_Connector_TeslaModelS_X437A.txt", "1|2|3|6|9|10|13|14|18|19|20"},
      {"ovms_Connector_TeslaRoadster.txt", "1|2|3|4|5|6|7|9|10|11|12"},
      {"ovms_KS.txt", "4|6|14|1|9|16|3|7|2|5|4|9"},
      {"ovms_NL.txt", "4|6|14|13|12|16|3|5|4|7|2|9"},
      {"ovms_kiasoulev.rst", "1|4|6|9|14|16|5|3|7|4|2|9"},
      {"pinpoint_iso11446_readme.md", run(1, 13)},
      {"r51_pinouts.md", run(1, 119) + "1|2|5|6|16"}};
  return all;
}

class RealTables : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!std::filesystem::exists(folder() / "pins")) GTEST_SKIP() << "no folder " << folder();
  }

  static ReadReport read(const std::string& name) {
    return read_tables(content_of(folder() / "pins" / name), name);
  }
};

TEST_F(RealTables, NoCavityIsLost) {
  for (const auto& [name, list] : cavities_of_files()) {
    std::multiset<std::string> expected;
    for (const std::string& cavity : split(list, '|')) expected.insert(cavity);
    std::multiset<std::string> found;
    const ReadReport report = read(name);
    for (const PinTable& table : report.tables) {
      for (const TablePin& pin : table.pins) {
        found.insert(pin.cavity);
        EXPECT_GT(pin.source.line, 0) << name;
      }
    }
    EXPECT_EQ(found, expected) << name;
  }
}

TEST_F(RealTables, EveryFileIsListedHere) {
  for (const auto& entry : std::filesystem::directory_iterator(folder() / "pins")) {
    const std::string name = entry.path().filename().string();
    if (!cavities_of_files().contains(name)) {
      EXPECT_FALSE(read(name).tables.empty()) << name;
    }
  }
}

// Signals per cavity as the expected comparisons give them; brackets stand in the note.
void expect_signals(const std::string& expected, const PinTable& table, std::size_t column) {
  const std::string text = content_of(folder() / "expected" / expected);
  int seen = 0;
  for (const std::string& line : split(text, '\n')) {
    const std::vector<std::string> fields = split(line, ',');
    if (fields.size() <= column || fields[0] != "cavity" || fields[column].empty()) continue;
    const std::string label = "ts_name: ";
    std::string want =
        fields[column].starts_with(label) ? fields[column].substr(label.size()) : fields[column];
    want = want.substr(0, want.find(" ("));
    const auto pin = std::find_if(table.pins.begin(), table.pins.end(),
                                  [&](const TablePin& p) { return p.cavity == fields[1]; });
    ASSERT_NE(pin, table.pins.end()) << expected << " " << fields[1];
    EXPECT_EQ(pin->signal, want) << expected << " " << fields[1];
    ++seen;
  }
  EXPECT_GT(seen, 8) << expected;
}

TEST_F(RealTables, SignalsAreThoseExpected) {
  const ReadReport sides = read("gevcu_pinout_table_b20fa12.txt");
  ASSERT_EQ(sides.tables.size(), 2U);
  expect_signals("expected_P01_gevcu2_vs_gevcu4.csv", sides.tables[0], 2);
  expect_signals("expected_P01_gevcu2_vs_gevcu4.csv", sides.tables[1], 3);
  expect_signals("expected_P03_tesla_roadster_vs_models_x437.csv",
                 read("ovms_Connector_TeslaRoadster.txt").tables.at(0), 2);
  expect_signals("expected_P03_tesla_roadster_vs_models_x437.csv",
                 read("ovms_Connector_TeslaModelS_X437.txt").tables.at(0), 3);
  expect_signals("expected_P08_8chanC_cc71f06_vs_d25a0ef.csv", read("fome_8chan-C_cc71f06.yaml").tables.at(0),
                 2);
  expect_signals("expected_P08_8chanC_cc71f06_vs_d25a0ef.csv", read("fome_8chan-C_d25a0ef.yaml").tables.at(0),
                 3);
  expect_signals("expected_P12_harley81_57f2b65_vs_a2ea8b9.csv",
                 read("fome_harley81_57f2b65.yaml").tables.at(0), 2);
  expect_signals("expected_P12_harley81_57f2b65_vs_a2ea8b9.csv",
                 read("fome_harley81_a2ea8b9.yaml").tables.at(0), 3);
}

TEST_F(RealTables, JapaneseLettersOfTheHeadUnit) {
  const ReadReport report = read("r51_pinouts.md");
  ASSERT_EQ(report.tables.size(), 1U);
  EXPECT_EQ(report.tables[0].connectors.size(), 8U);
  for (const TablePin& pin : report.tables[0].pins) {
    if (pin.colour.raw == "L") {
      EXPECT_EQ(pin.colour.base, "BU");
    }
    if (pin.colour.raw == "GR") {
      EXPECT_EQ(pin.colour.base, "GY");
    }
    if (pin.colour.raw == "SB") {
      EXPECT_EQ(pin.colour.base, "BU");
    }
    EXPECT_TRUE(pin.doubts.empty()) << pin.cavity << ": " << pin.doubts.front();
  }
}

}  // namespace
}  // namespace loomgraft::gather_real_tables_test
