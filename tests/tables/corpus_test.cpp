// The saved inputs of the fuzz target, read in the ordinary tests; and the tables of real files where they
// are at hand.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include "tests/tables/table_text.h"
#include "text/encoding.h"

namespace loomgraft::tables_corpus_test {
namespace {

using namespace loomgraft::testing;
namespace fs = std::filesystem;

std::string read_file(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::vector<fs::path> files_in(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.is_regular_file()) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

void check_cells(const TableText& found, int lines) {
  for (const Table& table : found.tables)
    for (const auto& row : table.rows)
      for (const Cell& cell : row) {
        EXPECT_GE(cell.line, 1);
        EXPECT_LE(cell.line, lines);
        EXPECT_GE(cell.column, 1);
        EXPECT_TRUE(valid_utf8(cell.text));
      }
}

TEST(TableCorpus, SavedInputs) {
  const auto files = files_in(fs::path(LOOMGRAFT_ROOT) / "fuzz/corpus/find_tables");
  ASSERT_GE(files.size(), 10u);
  for (const auto& file : files) {
    const std::string bytes = read_file(file);
    const auto lines = static_cast<int>(std::count_if(bytes.begin(), bytes.end(),
                                                      [](char c) { return c == '\n' || c == '\r'; })) +
                       1;
    for (const std::string name : {"a.txt", "a.yaml"}) check_cells(find_tables(bytes, name), lines);
  }
}

// A cut anywhere in a file must neither crash nor lose the tables before it.
TEST(TableCorpus, EveryPrefixOfEverySavedInput) {
  for (const auto& file : files_in(fs::path(LOOMGRAFT_ROOT) / "fuzz/corpus/find_tables")) {
    const std::string bytes = read_file(file);
    for (std::size_t size = 0; size < std::min<std::size_t>(bytes.size(), 1'500); ++size)
      find_tables(std::string_view(bytes).substr(0, size), file.filename().string());
  }
}

fs::path real_folder() {
  const char* set = std::getenv("LOOMGRAFT_REAL");
  return set != nullptr ? fs::path(set) : fs::path(LOOMGRAFT_ROOT) / "../shared/real";
}

TEST(TableCorpus, RowsOfRealFiles) {
  if (!fs::exists(real_folder() / "pins")) GTEST_SKIP() << "no folder of real tables at " << real_folder();
  // Rows per table, counted by eye in the files.
  const std::map<std::string, std::vector<std::size_t>> expected = {
      {"fome_88bmw.yaml", {35}},
      {"fome_8chan-C_cc71f06.yaml", {11, 34}},
      {"fome_harley81_57f2b65.yaml", {35, 81}},
      {"fome_harley81_a2ea8b9.yaml", {44, 81}},
      {"fomewiki_wideband_module.md", {6, 12, 4, 3, 2, 4}},
      {"gevcu_pinout_prose_366a3f3.txt", {13}},
      {"gevcu_pinout_table_b20fa12.txt", {35, 7, 19}},
      {"ovms_Connector_TeslaModelS_X437.txt", {11}},
      {"ovms_Connector_TeslaModelS_X437A.txt", {11}},
      {"ovms_Connector_TeslaRoadster.txt", {11}},
      {"ovms_KS.txt", {6}},
      {"ovms_NL.txt", {6}},
      {"ovms_kiasoulev.rst", {18, 6, 48}},
      {"pinpoint_iso11446_readme.md", {13}},
      {"r51_pinouts.md", {7, 20, 6, 12, 3, 24, 16, 12, 32, 5}}};
  for (const auto& file : files_in(real_folder() / "pins")) {
    const TableText found = find_tables(read_file(file), file.filename().string());
    std::vector<std::size_t> rows;
    for (const Table& table : found.tables) {
      rows.push_back(table.rows.size());
      std::printf("%s: %s, %zu rows\n", file.filename().c_str(), table.name.c_str(), table.rows.size());
    }
    const auto known = expected.find(file.filename().string());
    if (known != expected.end()) {
      EXPECT_EQ(rows, known->second) << file;
    }
    EXPECT_TRUE(found.problems.empty()) << codes(found.problems);
  }
}

}  // namespace
}  // namespace loomgraft::tables_corpus_test
