// One table as different programs write it (tests/data/make_two_plugs.py): each file must read like the CSV.
#include <gtest/gtest.h>

#include "tests/files/made_files.h"

namespace loomgraft::files_test {
namespace {

struct Known {
  std::string connector, cavity, signal, term, colour, note;
  PinClass pin_class;
  bool operator==(const Known&) const = default;
};

std::vector<Known> known(const ReadReport& report, bool connectors) {
  std::vector<Known> list;
  for (const TablePin& pin : pins_of(report))
    list.push_back({connectors ? pin.connector : "", pin.cavity, pin.signal, pin.term,
                    pin.colour.base + "/" + pin.colour.tracer, pin.note, pin.pin_class});
  return list;
}

ReadReport read(const std::string& name) {
  return read_table_file(file_of_tests(name), name);
}

class EachProgram : public ::testing::TestWithParam<const char*> {};

TEST_P(EachProgram, ReadsLikeTheCsv) {
  const std::string name = GetParam();
  // A printed spreadsheet does not name its sheets.
  const bool connectors = name != "two_plugs_calc.pdf";
  const auto expected = known(read("two_plugs.csv"), connectors);
  ASSERT_EQ(expected.size(), 65U);
  const ReadReport report = read(name);
  EXPECT_EQ(known(report, connectors), expected);
  EXPECT_EQ(report.problems, Problems{});
  for (const TablePin& pin : pins_of(report)) {
    EXPECT_TRUE(pin.doubts.empty()) << pin.doubts.front();
    EXPECT_FALSE(pin.source.place.empty());
  }
}

INSTANTIATE_TEST_SUITE_P(Files, EachProgram,
                         ::testing::Values("two_plugs_openpyxl.xlsx", "two_plugs_libreoffice.xlsx",
                                           "two_plugs_libreoffice.ods", "two_plugs_groff.pdf",
                                           "two_plugs_writer.pdf", "two_plugs_calc.pdf"));

TEST(TablePlaces, OfACellAndOfALineOnAPage) {
  const auto sheet = pins_of(read("two_plugs_libreoffice.ods"));
  ASSERT_EQ(sheet.size(), 65U);
  EXPECT_EQ(sheet[0].source.place, "sheet Connector X1, A2");
  EXPECT_EQ(sheet[0].source.line, 2);
  EXPECT_EQ(sheet[56].source.place, "sheet Connector X2, A2");
  const auto page = pins_of(read("two_plugs_groff.pdf"));
  ASSERT_EQ(page.size(), 65U);
  EXPECT_EQ(page[0].source.place, "page 1, line 5");
  EXPECT_EQ(page[55].source.place.substr(0, 8), "page 2, ");
}

TEST(TablePlaces, GoIntoTheClaimsOfAModule) {
  SourceTables source;
  source.source.id = "sheet";
  source.tables = read("two_plugs_openpyxl.xlsx").tables;
  const GatheredModule module = gather_module("found", ModuleRole::found, {source});
  ASSERT_EQ(module.module.pins.size(), 65U);
  ASSERT_EQ(module.module.pins[1].claims.size(), 1U);
  EXPECT_EQ(module.module.pins[1].claims[0].place, "sheet Connector X1, A3");
}

TEST(TablePlaces, PreviewsSayWhereATableBegins) {
  ReadOptions options;
  options.rows_shown = 3;
  const ReadReport report = read_table_file(file_of_tests("two_plugs_libreoffice.xlsx"), "two.xlsx", options);
  ASSERT_EQ(report.previews.size(), 2U);
  EXPECT_EQ(report.previews[1].place, "sheet Connector X2, row 1");
}

}  // namespace
}  // namespace loomgraft::files_test
