#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "files/number_format.h"
#include "tests/files/made_files.h"

namespace loomgraft::files_test {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

std::vector<std::string> lines_of(const ReadReport& report) {
  std::vector<std::string> lines;
  for (const TablePin& pin : pins_of(report))
    lines.push_back(pin.connector + "|" + pin.cavity + "|" + pin.signal + "|" + pin.colour.raw + "|" +
                    pin.note);
  return lines;
}

ReadReport read(const std::vector<MadeSheet>& sheets, const std::string& styles = {}) {
  return read_table_file(xlsx_of(sheets, styles), "try.xlsx");
}

const std::string head = row_of({"Pin", "Function", "Colour", "Note"});

TEST(Spreadsheet, SheetsNameTheirPlugs) {
  const ReadReport report = read({{"Connector X2", head + row_of({"1", "earth", "BN"}), ""},
                                  {"Plug X7", head + row_of({"1", "supply", "RD"}), ""}});
  EXPECT_THAT(lines_of(report), ElementsAre("X2|1|earth|BN|", "X7|1|supply|RD|"));
}

TEST(Spreadsheet, ANameThatTheProgramGaveIsNoHeading) {
  const ReadReport report =
      read({{"Sheet1", head + row_of({"1", "earth", "BN"}) + row_of({"2", "supply", "RD"}), ""}});
  ASSERT_EQ(report.tables.size(), 1U);
  EXPECT_EQ(report.tables[0].name, "try");
}

TEST(Spreadsheet, AMergedCellStandsInEachOfItsRows) {
  const ReadReport report = read({{"Sheet1",
                                   head + row_of({"1", "CAN high", "YE", "twisted"}) +
                                       row_of({"2", "CAN low", "GN", ""}) + row_of({"3", "earth", "BN", ""}),
                                   "<mergeCells><mergeCell ref=\"D2:D3\"/></mergeCells>"}});
  EXPECT_THAT(lines_of(report),
              ElementsAre("|1|CAN high|YE|twisted", "|2|CAN low|GN|twisted", "|3|earth|BN|"));
}

TEST(Spreadsheet, AHeadOfTwoRowsIsOne) {
  const std::string rows = row_of({"Pin", "Function", "Wire", ""}) + row_of({"", "", "Colour", "Far end"}) +
                           row_of({"1", "earth", "BN", "2.5 mm"}) + row_of({"2", "supply", "RD", ""});
  const ReadReport report = read({{"Sheet1", rows,
                                   "<mergeCells><mergeCell ref=\"A1:A2\"/><mergeCell ref=\"B1:B2\"/>"
                                   "<mergeCell ref=\"C1:D1\"/></mergeCells>"}});
  EXPECT_THAT(lines_of(report), ElementsAre("|1|earth|BN|", "|2|supply|RD|"));
}

TEST(Spreadsheet, TablesSideBySideAreReadOneAfterTheOther) {
  const std::string rows = row_of({"Pin", "Function", "", "Pin", "Function"}) +
                           row_of({"A1", "earth", "", "B1", "lamp"}) +
                           row_of({"A2", "supply", "", "B2", "relay"});
  EXPECT_THAT(lines_of(read({{"Sheet1", rows, ""}})),
              ElementsAre("|A1|earth||", "|A2|supply||", "|B1|lamp||", "|B2|relay||"));
}

TEST(Spreadsheet, CellsKeepMarksThatOtherFormsWouldTake) {
  const std::string rows = row_of({"#", "Function", "Note"}) +
                           row_of({"1", "5\" hose heater, left", "&lt;table&gt; | x"}) +
                           row_of({"2", "= earth\nof sensors", "- none"});
  const auto pins = pins_of(read({{"Sheet1", rows, ""}}));
  ASSERT_EQ(pins.size(), 2U);
  EXPECT_EQ(pins[0].signal, "5\" hose heater, left");
  EXPECT_EQ(pins[0].note, "<table> | x");
  EXPECT_THAT(pins[1].signal, HasSubstr("earth"));
  EXPECT_EQ(pins[1].source.place, "sheet Sheet1, A3");
}

TEST(Spreadsheet, AFormulaWithoutItsResultIsReported) {
  const std::string rows = head + row_of({"1", "earth", "BN"}) +
                           "<row r=\"3\"><c r=\"A3\"><v>2</v></c><c r=\"B3\"><f>B2</f></c></row>";
  const ReadReport report = read({{"Sheet1", rows, ""}});
  ASSERT_TRUE(has_problem(report, "formula-cell"));
  EXPECT_EQ(report.problems[0].location.place, "sheet Sheet1, B3");
}

TEST(Spreadsheet, ADateThatMayHaveBeenACavityIsADoubt) {
  const std::string rows =
      head + "<row r=\"2\"><c r=\"A2\" s=\"1\"><v>45000</v></c><c r=\"B2\" t=\"str\"><v>earth</v></c></row>" +
      row_of({"3/14", "supply", "RD"});
  const ReadReport report = read({{"Sheet1", rows, ""}}, "<cellXfs><xf/><xf numFmtId=\"16\"/></cellXfs>");
  const auto pins = pins_of(report);
  ASSERT_FALSE(pins.empty());
  ASSERT_FALSE(pins[0].doubts.empty());
  EXPECT_THAT(pins[0].doubts.back(), HasSubstr("A2"));
}

TEST(Spreadsheet, ProblemsNameTheirCell) {
  const std::string rows = head + row_of({"1", "earth", "BN"}) + row_of({"1", "supply", "RD"});
  const ReadReport report = read({{"Pins", rows, ""}});
  ASSERT_TRUE(has_problem(report, "duplicate-cavity"));
  for (const Problem& problem : report.problems) {
    if (problem.code != "duplicate-cavity") continue;
    EXPECT_EQ(problem.location.place, "sheet Pins, A3");
    EXPECT_THAT(problem.message, HasSubstr("sheet Pins, row 2"));
  }
}

TEST(Spreadsheet, PrefixesAndSharedTextsOfAnyProgram) {
  const std::string bytes = zip_of(
      {{"_rels/.rels",
        "<Relationships><Relationship Id=\"a\" Type=\"x/officeDocument\" "
        "Target=\"book/w.xml\"/></Relationships>"},
       {"book/_rels/w.xml.rels",
        "<p:Relationships xmlns:p=\"p\"><p:Relationship Id=\"q\" Type=\"x/worksheet\" Target=\"../s.xml\"/>"
        "<p:Relationship Id=\"t\" Type=\"x/sharedStrings\" Target=\"t.xml\"/></p:Relationships>"},
       {"book/w.xml",
        "<x:workbook xmlns:x=\"x\"><x:sheets><x:sheet name=\"Connector X2\" sheetId=\"1\" "
        "z:id=\"q\"/></x:sheets></x:workbook>"},
       {"book/t.xml",
        "<x:sst "
        "xmlns:x=\"x\"><x:si><x:t>Pin</x:t></x:si><x:si><x:r><x:t>Func</x:t></x:r><x:r><x:t>tion</x:t></"
        "x:r></x:si>"
        "<x:si><x:t>ea_x0072_th</x:t></x:si></x:sst>"},
       {"s.xml",
        "<x:worksheet xmlns:x=\"x\"><x:sheetData><x:row r=\"8\"><x:c t=\"s\"><x:v>0</x:v></x:c><x:c "
        "t=\"s\"><x:v>1</x:v></x:c></x:row>"
        "<x:row r=\"9\"><x:c r=\"A9\"><x:v>7</x:v></x:c><x:c "
        "t=\"s\"><x:v>2</x:v></x:c></x:row></x:sheetData></x:worksheet>"}});
  const ReadReport report = read_table_file(bytes, "try");
  ASSERT_THAT(lines_of(report), ElementsAre("X2|7|earth||"));
  EXPECT_EQ(pins_of(report)[0].source.place, "sheet Connector X2, A9");
}

TEST(Spreadsheet, OpenDocumentRepeatsSpansAndLineEnds) {
  const std::string cell = "<table:table-cell><text:p>";
  const std::string end = "</text:p></table:table-cell>";
  const std::string xml =
      "<office:document "
      "xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\"><office:body><office:spreadsheet>"
      "<table:table table:name=\"Connector X2\"><table:table-header-rows><table:table-row>" +
      cell + "Pin" + end + cell + "Function" + end + cell + "Colour" + end +
      "</table:table-row></table:table-header-rows>" + "<table:table-row>" + cell + "1" + end +
      "<table:table-cell table:number-rows-spanned=\"2\"><text:p>earth<text:s/>of</text:p>" +
      "<text:p>sensors</text:p><office:annotation><text:p>a "
      "remark</text:p></office:annotation></table:table-cell>" +
      cell + "BN" + end + "</table:table-row><table:table-row>" + cell + "2" + end +
      "<table:covered-table-cell/>" + cell + "BK" + end + "</table:table-row>" +
      "<table:table-row table:number-rows-repeated=\"1048570\"><table:table-cell "
      "table:number-columns-repeated=\"16384\"/>" +
      "</table:table-row></table:table></office:spreadsheet></office:body></office:document>";
  const auto pins = pins_of(read_table_file(xml, "try.fods"));
  ASSERT_EQ(pins.size(), 2U);
  EXPECT_THAT(pins[0].signal, HasSubstr("earth of"));
  EXPECT_EQ(pins[1].signal, pins[0].signal);
  EXPECT_EQ(pins[1].colour.base, "BK");
  EXPECT_THAT(pins[0].note + pins[0].signal, ::testing::Not(HasSubstr("remark")));
}

std::string shown(double value, const std::string& code, int id = 164) {
  return files::show_number(value, {id, code}, false).text;
}

TEST(NumberFormat, ShowsWhatAPersonSees) {
  EXPECT_EQ(shown(7, ""), "7");
  EXPECT_EQ(shown(0.1 + 0.2, ""), "0.3");
  EXPECT_EQ(shown(-0.0, ""), "0");
  EXPECT_EQ(shown(7, "000"), "007");
  EXPECT_EQ(shown(2.5, "0.00\" mm²\""), "2.50 mm²");
  EXPECT_EQ(shown(2.5, "0.0##"), "2.5");
  EXPECT_EQ(shown(0.125, "0.0%"), "12.5%");
  EXPECT_EQ(shown(-1.5, "0.0;[Red]-0.0"), "-1.5");
  EXPECT_EQ(shown(1234.5, "#,##0.00"), "1234.50");
  EXPECT_EQ(shown(3, "General"), "3");
  EXPECT_EQ(shown(3, "\"X\"0"), "X3");
  EXPECT_EQ(shown(0.5, "", 9), "50%");
}

// Day 1 is 1900-01-01, day 61 is 1900-03-01, day 45000 is 2023-03-15 (ECMA-376, part 1, 18.17.4).
TEST(NumberFormat, ShowsDatesYearFirst) {
  EXPECT_EQ(shown(1, "yyyy-mm-dd"), "1900-01-01");
  EXPECT_EQ(shown(61, "dd.mm.yyyy"), "1900-03-01");
  EXPECT_EQ(shown(45000, "m/d/yy"), "2023-03-15");
  EXPECT_EQ(files::show_number(0, {14, ""}, true).text, "1904-01-01");
  EXPECT_EQ(shown(45000, "", 16), "15-Mar");
  EXPECT_TRUE(files::show_number(45000, {16, ""}, false).day_and_month);
  EXPECT_FALSE(files::show_number(45000, {14, ""}, false).day_and_month);
  EXPECT_EQ(shown(0.75, "h:mm"), "18:00");
}

}  // namespace
}  // namespace loomgraft::files_test
