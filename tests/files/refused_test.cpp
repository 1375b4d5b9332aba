// Files that are not read, damaged ones, and ones made to do harm.
#include <gtest/gtest.h>

#include <chrono>
#include <cstdlib>
#include <random>

#include "files/zip_archive.h"
#include "tests/files/made_files.h"
#include "tests/rounds.h"

namespace loomgraft::files_test {
namespace {

using namespace std::string_literals;

std::string first_code(const std::string& bytes) {
  const ReadReport report = read_table_file(bytes, "pins.xlsx");
  EXPECT_TRUE(report.tables.empty());
  if (report.problems.empty()) return "";
  EXPECT_FALSE(report.problems[0].remedy.empty());
  return std::string(report.problems[0].code.text());
}

std::string wide(const std::string& text) {
  std::string result;
  for (const char c : text) result += {c, '\0'};
  return result;
}

TEST(RefusedFile, IsNamedByItsContent) {
  const std::string compound = "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1" + std::string(512, '\0');
  EXPECT_EQ(first_code(compound + wide("Workbook")), "file-kind-not-read");
  EXPECT_EQ(first_code(compound + wide("WordDocument")), "file-kind-not-read");
  EXPECT_EQ(first_code("{\\rtf1 Pin 1}"), "file-kind-not-read");
  EXPECT_EQ(first_code("\x89PNG\r\n\x1A\n"s), "file-kind-not-read");
  EXPECT_EQ(first_code("\xFF\xD8\xFF\xE0 photo"), "file-kind-not-read");
  EXPECT_EQ(first_code("II*\0 scan"s), "file-kind-not-read");
  EXPECT_EQ(first_code("\x1F\x8B packed"), "file-kind-not-read");
  EXPECT_EQ(first_code(zip_of({{"word/document.xml", "<w/>"}, {"_rels/.rels", "<r/>"}})),
            "file-kind-not-read");
  EXPECT_EQ(first_code(zip_of({{"xl/workbook.bin", "x"}, {"_rels/.rels", "<r/>"}})), "file-kind-not-read");
  EXPECT_EQ(first_code(zip_of({{"notes.txt", "x"}})), "file-kind-not-read");
  EXPECT_EQ(first_code(zip_of({{"content.xml", "<d><body><text/></body></d>"}})), "file-kind-not-read");
}

TEST(RefusedFile, LockedWithAPassword) {
  EXPECT_EQ(
      first_code("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1" + std::string(512, '\0') + wide("EncryptedPackage")),
      "encrypted-file");
  EXPECT_EQ(first_code(zip_of({{"content.xml", "x"}, {"META-INF/manifest.xml", "<m:encryption-data/>"}})),
            "encrypted-file");
  EXPECT_EQ(first_code(file_of_tests("locked.pdf")), "encrypted-file");
}

TEST(RefusedFile, PagesThatArePictures) {
  const std::string page =
      "%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n2 0 obj <</Type/Pages/Kids[3 0 R]/Count 1>> "
      "endobj\n"
      "3 0 obj <</Type/Page/Parent 2 0 R/MediaBox[0 0 9 9]>> endobj\ntrailer <</Root 1 0 R>>\n";
  EXPECT_EQ(first_code(page), "scanned-pages");
}

TEST(RefusedFile, AnEmptySpreadsheetHasNoTable) {
  EXPECT_TRUE(has_problem(read_table_file(xlsx_of({{"Sheet1", "", ""}}), "empty.xlsx"), "no-pin-table"));
}

TEST(DamagedFile, CutOffAnywhere) {
  for (const char* name : {"two_plugs_openpyxl.xlsx", "two_plugs_libreoffice.ods", "two_plugs_groff.pdf"}) {
    const std::string whole = file_of_tests(name);
    for (std::size_t part = 1; part < 8; ++part) {
      const ReadReport report =
          read_table_file(std::string_view(whole).substr(0, whole.size() * part / 8), name);
      EXPECT_FALSE(report.problems.empty()) << name << " " << part;
    }
  }
}

TEST(DamagedFile, OneSheetOfTwo) {
  const std::string rows = row_of({"Pin", "Function"}) + row_of({"1", "earth"}) + row_of({"2", "supply"});
  const ReadReport report =
      read_table_file(xlsx_of({{"One", "<row><c></row>", ""}, {"Two", rows, ""}}), "half.xlsx");
  EXPECT_EQ(pins_of(report).size(), 2U);
  ASSERT_TRUE(has_problem(report, "file-damaged"));
  EXPECT_EQ(report.problems[0].location.place, "sheet One");
}

double seconds_of(const auto& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

constexpr double bearable = 60;  // seconds, on a busy machine under sanitizers; a second or two otherwise

TEST(HarmfulFile, UnpacksToMoreThanIsRead) {
  const std::string bomb = xlsx_of({{"Sheet1", std::string(std::size_t{48} << 20, ' '), ""}});
  ASSERT_LT(bomb.size(), std::size_t{1} << 20);
  EXPECT_EQ(first_code(bomb), "too-large");
}

TEST(HarmfulFile, CellsRowsAndMergesWithoutEnd) {
  std::string merges, rows, wide_rows;
  for (int i = 0; i < 20'000; ++i) merges += "<mergeCell ref=\"A1:XFD1048576\"/>";
  for (int i = 1; i < 20'000; ++i) rows += "<row><c r=\"A" + std::to_string(i) + "\"><v>1</v></c></row>";
  for (int i = 1; i < 2'000; ++i)
    wide_rows += "<row><c r=\"" + std::string(1, static_cast<char>('A' + i % 26)) +
                 std::string(1, static_cast<char>('A' + i / 26 % 26)) + std::to_string(i) +
                 "\"><v>1</v></c></row>";
  EXPECT_LT(
      seconds_of([&] {
        read_table_file(xlsx_of({{"Sheet1", rows, "<mergeCells>" + merges + "</mergeCells>"}}), "m.xlsx");
      }),
      bearable);
  EXPECT_LT(seconds_of([&] { read_table_file(xlsx_of({{"Sheet1", wide_rows, ""}}), "w.xlsx"); }), bearable);
  const std::string repeated =
      "<office:document "
      "xmlns=\"urn:oasis:names:tc:opendocument\"><office:body><office:spreadsheet><table:table>"
      "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell "
      "table:number-columns-repeated=\"16384\">"
      "<text:p>x</text:p></table:table-cell></table:table-row></table:table></office:spreadsheet></"
      "office:body></office:document>";
  ReadReport report;
  EXPECT_LT(seconds_of([&] { report = read_table_file(repeated, "r.fods"); }), bearable);
  EXPECT_TRUE(has_problem(report, "too-large"));
}

TEST(HarmfulFile, NestedDeep) {
  std::string deep = "<d><body><spreadsheet><table><table-row><table-cell><p>";
  for (int i = 0; i < 100'000; ++i) deep += "<span>";
  EXPECT_EQ(first_code(zip_of({{"content.xml", deep}})), "file-damaged");
  std::string groups =
      "<office:document xmlns=\"urn:oasis:names:tc:opendocument\"><body><spreadsheet><table>";
  for (int i = 0; i < 100'000; ++i) groups += "<table-row-group>";
  for (int i = 0; i < 100'000; ++i) groups += "</table-row-group>";
  EXPECT_FALSE(
      read_table_file(groups + "</table></spreadsheet></body></office:document>", "g.fods").problems.empty());
}

// Bytes changed, left out and doubled at random.
std::string mutant_of(std::string bytes, std::mt19937& random) {
  const auto below = [&](std::size_t end) {
    return std::uniform_int_distribution<std::size_t>(0, end - 1)(random);
  };
  for (std::size_t changes = 1 + below(8); changes > 0 && bytes.size() > 4; --changes) {
    const std::size_t at = below(bytes.size());
    const std::size_t length = std::min<std::size_t>(1 + below(16), bytes.size() - at);
    if (below(4) == 0)
      bytes.erase(at, length);
    else if (below(4) == 0)
      bytes.insert(below(bytes.size()), bytes.substr(at, length));
    else
      bytes[at] = static_cast<char>(below(256));
  }
  return bytes;
}

void read_mutants(const std::string& bytes, int count) {
  std::mt19937 random(7);
  for (int i = 0; i < count; ++i) {
    const std::string mutant = mutant_of(bytes, random);
    ASSERT_LT(seconds_of([&] { read_table_file(mutant, "mutant"); }), bearable) << i;
  }
}

std::string corpus_file(const std::string& name) {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/fuzz/corpus/table_file/" + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST(Mutants, OfSpreadsheets) {
  for (const char* name : {"packed.xlsx", "stored.ods", "flat.fods"}) read_mutants(corpus_file(name), 2'500);
}

// A checksum guards each part of an archive: only archives made of changed parts are read further.
TEST(Mutants, OfTheirParts) {
  const std::string bytes = corpus_file("stored.xlsx");
  files::ZipArchive archive(bytes);
  Parts parts;
  for (const char* name : {"_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels",
                           "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"})
    parts.emplace_back(name, archive.read(name).value_or(""));
  ASSERT_EQ(pins_of(read_table_file(zip_of(parts), "whole.xlsx")).size(), 4U);
  std::mt19937 random(11);
  const int count = std::getenv("LOOMGRAFT_LONG") ? 10'000 : samples::rounds(3'000);
  for (int i = 0; i < count; ++i) {
    Parts changed = parts;
    std::string& text = changed[static_cast<std::size_t>(i) % parts.size()].second;
    text = mutant_of(text, random);
    const std::string mutant = zip_of(changed);
    ASSERT_LT(seconds_of([&] { read_table_file(mutant, "mutant"); }), bearable) << i;
  }
}

TEST(Mutants, OfPdfFiles) {
  read_mutants(file_of_tests("two_plugs_groff.pdf"), std::getenv("LOOMGRAFT_LONG") ? 10'000 : 40);
}

}  // namespace
}  // namespace loomgraft::files_test
