#include "gather/read_tables.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "gather/read_json.h"

namespace loomgraft::gather_read_tables_test {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

ReadReport read(std::string_view text) {
  return read_tables(text, "try.md");
}

std::vector<std::string> cavities(const PinTable& table) {
  std::vector<std::string> result;
  for (const TablePin& pin : table.pins) {
    result.push_back(pin.connector.empty() ? pin.cavity : pin.connector + "|" + pin.cavity);
  }
  return result;
}

const TablePin& pin_at(const PinTable& table, std::string_view cavity) {
  const auto found = std::find_if(table.pins.begin(), table.pins.end(),
                                  [&](const TablePin& p) { return p.cavity == cavity; });
  EXPECT_NE(found, table.pins.end()) << cavity;
  static const TablePin none;
  return found == table.pins.end() ? none : *found;
}

std::size_t count_of(const ReadReport& report, std::string_view code) {
  return static_cast<std::size_t>(std::count_if(report.problems.begin(), report.problems.end(),
                                                [&](const Problem& p) { return p.code == code; }));
}

const Problem& problem_of(const ReadReport& report, std::string_view code) {
  const auto found = std::find_if(report.problems.begin(), report.problems.end(),
                                  [&](const Problem& p) { return p.code == code; });
  static const Problem none;
  EXPECT_NE(found, report.problems.end()) << code;
  return found == report.problems.end() ? none : *found;
}

TEST(ReadTables, ColumnsByHeadWords) {
  const ReadReport report = read(
      "# Body unit\n\nYears: 1998-2001\nMarket: EU\nBoard: 4711 (read off the board)\n\n"
      "| Pin # | Wire colour | Signal Name | Type | Goes to | Remarks |\n|---|---|---|---|---|---|\n"
      "| 01 | BK | GND | gnd | body | thick |\n| 2 | YE/BU | TPS 2 (slider) | av | throttle | |\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  const PinTable& table = report.tables[0];
  EXPECT_THAT(cavities(table), ElementsAre("1", "2"));
  EXPECT_EQ(table.tags.years, "1998-2001");
  EXPECT_EQ(table.tags.market, "EU");
  EXPECT_EQ(table.tags.board, "4711");
  const TablePin& pin = pin_at(table, "2");
  EXPECT_EQ(pin.signal, "TPS 2");
  EXPECT_EQ(pin.term, "TP");
  EXPECT_EQ(pin.pin_class, PinClass::voltage_input);
  EXPECT_EQ(pin.colour, (Colour{"YE", "BU", "YE/BU"}));
  EXPECT_EQ(pin.note, "slider");
  EXPECT_EQ(pin.far_end, "throttle");
  EXPECT_EQ(pin.source.line, 10);
  EXPECT_EQ(pin_at(table, "1").note, "thick");
}

TEST(ReadTables, ProductsSideBySideGiveATableEach) {
  const ReadReport report = read(
      "Pin | Unit 2 | Unit 4 | Unit 5 |\n----+--------+--------+--------+\n 1 | +12V In | GND | |\n 2 | GND "
      "| GND | |\n"
      " 3 | CAN 0 HI | Digital Out 0 | |\n");
  ASSERT_THAT(report.tables, SizeIs(2));
  EXPECT_EQ(report.tables[0].name, "Unit 2");
  EXPECT_EQ(report.tables[1].name, "Unit 4");
  EXPECT_EQ(pin_at(report.tables[1], "3").signal, "Digital Out 0");
  EXPECT_EQ(problem_of(report, "empty-column").severity, Severity::note);
}

TEST(ReadTables, UsesPerProductBecomeRemarksOfTheirPins) {
  const ReadReport report = read(
      "Pin | Unit 2 | Unit 4 |\n----+--------+--------+\n 1 | +12V In | GND |\n 2 | GND | GND |\n 3 | "
      "Digital Out 0 | Digital "
      "Out 1 |\n\nAssignments\n===========\n\nSignal | Unit 2 | Unit 4 |\n----+--------+--------+\n Fan "
      "relay | Pin 3 | n/a |\n"
      " Earth of body | Pin 1+2 | Pin 2 |\n");
  ASSERT_THAT(report.tables, SizeIs(2));
  EXPECT_THAT(report.tables[0].pins, SizeIs(3));
  EXPECT_THAT(pin_at(report.tables[0], "3").note, HasSubstr("Fan relay"));
  EXPECT_THAT(pin_at(report.tables[0], "2").note, HasSubstr("Earth of body"));
  EXPECT_THAT(pin_at(report.tables[1], "2").note, HasSubstr("Earth of body"));
}

TEST(ReadTables, BothEndsOfACable) {
  const ReadReport report = read(
      "J1962-M   DB9-F   Signal\n4         3       Power GND\n6         7       CAN-H (main)\n"
      "14        2       CAN-L (main)\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]),
              ElementsAre("J1962-M|4", "DB9-F|3", "J1962-M|6", "DB9-F|7", "J1962-M|14", "DB9-F|2"));
  EXPECT_EQ(report.tables[0].pins[0].far_end, "DB9-F-3");
  EXPECT_EQ(report.tables[0].pins[3].signal, "CAN-H");
}

TEST(ReadTables, TwoConnectorsInTwoColumns) {
  const ReadReport report = read(";C1;C4;Funktion;Farbe\n;1;2;Masse;sw\n;2;-;Kl 15;sw/ge\n;3;7;n/c;\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]), ElementsAre("C1|1", "C4|2", "C1|2", "C1|3", "C4|7"));
  EXPECT_EQ(pin_at(report.tables[0], "7").pin_class, PinClass::no_connection);
}

TEST(ReadTables, ConnectorsFromHeadingsColumnsAndPrefixes) {
  const ReadReport headings = read(
      "# Unit\n\n## Connector X1\n\n| Pin | Signal |\n|---|---|\n| 1 | GND |\n| 2 | VSS |\n\n## Connector "
      "X2\n\n"
      "| Pin | Signal |\n|---|---|\n| 1 | MAP |\n| 2 | IAT |\n");
  ASSERT_THAT(headings.tables, SizeIs(1));
  EXPECT_THAT(cavities(headings.tables[0]), ElementsAre("X1|1", "X1|2", "X2|1", "X2|2"));
  EXPECT_THAT(headings.tables[0].connectors, SizeIs(2));
  const ReadReport column = read("Plug;Pin;Function\nC3;1;GND\nC3;2, 3;n/c\n;4;VSS\nC4;A1;MAP\n");
  ASSERT_THAT(column.tables, SizeIs(1));
  EXPECT_THAT(cavities(column.tables[0]), ElementsAre("C3|1", "C3|2", "C3|3", "C3|4", "C4|A1"));
  const ReadReport prefix = read("Terminal,Circuit\nX1-1,GND\nX1-2,VSS\nX2-1,MAP\n");
  ASSERT_THAT(prefix.tables, SizeIs(1));
  EXPECT_THAT(cavities(prefix.tables[0]), ElementsAre("X1|1", "X1|2", "X2|1"));
}

TEST(ReadTables, PartNumberAsHead) {
  const ReadReport report = read(
      "Connector: Model S X437 connector\n\n173851-2 Signal\n-------- --------------\n1        CAN3-H   "
      "(old CAN0-H)\n2        GND\n\n  CAN3: Powertrain\n  CAN4: Body\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  const PinTable& table = report.tables[0];
  EXPECT_EQ(table.connectors[0].name, "X437");
  EXPECT_EQ(table.connectors[0].part, "173851-2");
  EXPECT_THAT(table.legend, ElementsAre("CAN3: Powertrain"));
  EXPECT_EQ(table.pins[0].note, "old CAN0-H; Powertrain");
}

TEST(ReadTables, EveryRowIsAPinOrAProblem) {
  const ReadReport report =
      read("Pin,Function,Note\n1,GND,\n,VSS,see manual\n3,=1+2,\n3,MAP,\n,,\n5,-,\n4,IAT,a,b\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]), ElementsAre("1", "3", "3", "5", "4"));
  const Problem& lost = problem_of(report, "row-without-cavity");
  EXPECT_EQ(lost.location.line, 3);
  EXPECT_THAT(lost.message, HasSubstr("VSS"));
  EXPECT_EQ(problem_of(report, "formula-cell").location.line, 4);
  EXPECT_EQ(problem_of(report, "duplicate-cavity").location.line, 5);
  EXPECT_THAT(report.tables[0].pins[1].doubts, Not(IsEmpty()));
  EXPECT_THAT(report.tables[0].pins[2].doubts, Not(IsEmpty()));
  EXPECT_EQ(pin_at(report.tables[0], "5").pin_class, PinClass::no_connection);
}

TEST(ReadTables, AnEmptyLineDoesNotEndATable) {
  const ReadReport report = read("Pin,Function,Note\n1,GND,\n3,MAP,\n,,\n4,IAT,a,b\n5,-,\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]), ElementsAre("1", "3", "4", "5"));
  EXPECT_EQ(count_of(report, "row-too-long"), 1U);
}

TEST(ReadTables, TablesThatAreNoPinTables) {
  const ReadReport report = read(
      "# Codes\n\n| Blinks | Meaning |\n|---|---|\n| 3 | too hot |\n| 4 | too cold |\n\n# Fuses\n\n| Fuse | "
      "Amps | Feeds |\n"
      "|---|---|---|\n| 1 | 10 | lamps |\n| 2 | 20 | horn |\n");
  EXPECT_THAT(report.tables, IsEmpty());
  EXPECT_EQ(count_of(report, "not-a-pin-table"), 2U);
  EXPECT_EQ(problem_of(report, "no-pin-table").severity, Severity::error);
}

TEST(ReadTables, TransposedTablesAreTurned) {
  const ReadReport report = read(
      "| Pin | 9 | 10 | 11 | 12 |\n|---|---|---|---|---|\n| Signal | GND | VSS | MAP | IAT |\n| Colour | BK "
      "| YE | GN | BU |\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]), ElementsAre("9", "10", "11", "12"));
  EXPECT_EQ(pin_at(report.tables[0], "11").signal, "MAP");
  EXPECT_EQ(pin_at(report.tables[0], "12").colour.base, "BU");
}

TEST(ReadTables, ContradictingLabelsAndTextCutOffGiveDoubts) {
  const ReadReport report = read_tables(
      "pins:\n  - pin: 3M\n    function: Injector #1\n    ts_name: 2Q - IDLE\n  - pin: 4\n    ts_name: 4 - "
      "VSS\n"
      "  - pin: 5A\n    funtion: GND\n",
      "try.yaml");
  ASSERT_THAT(report.tables, SizeIs(1));
  const TablePin& pin = pin_at(report.tables[0], "3M");
  EXPECT_EQ(pin.signal, "Injector");
  EXPECT_THAT(pin.doubts, Contains(HasSubstr("2Q")));
  EXPECT_THAT(pin.doubts, Contains(HasSubstr("Injector #1")));
  EXPECT_EQ(pin_at(report.tables[0], "4").signal, "VSS");
  EXPECT_EQ(pin_at(report.tables[0], "5A").signal, "GND");  // the key is misspelt
}

TEST(ReadTables, ColourLegendDecidesTheLetters) {
  const ReadReport report = read(
      "Colours: B black, U blue, N brown, S slate\n\n| Pin | Colour | Signal |\n|---|---|---|\n| 1 | B | GND "
      "|\n| 2 | U/S | VSS |\n"
      "| 3 | XX | MAP |\n| 4 | N | IAT |\n| 5 | S | TPS |\n| 6 | S/B | TPS |\n| 7 | U | ECT |\n| 8 | U | x "
      "|\n| 9 | N | y1 |\n| 10 | N "
      "| y2 |\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_EQ(print(pin_at(report.tables[0], "2").colour), "BU/GY");
  EXPECT_EQ(print(pin_at(report.tables[0], "1").colour), "BK");
  EXPECT_THAT(pin_at(report.tables[0], "1").doubts, IsEmpty());
  EXPECT_EQ(problem_of(report, "unknown-colour").location.line, 7);
  EXPECT_THAT(pin_at(report.tables[0], "3").doubts, Not(IsEmpty()));
}

TEST(ReadTables, ColumnChoiceCorrects) {
  const std::string_view text = "Alpha,Beta,Pin\nGND,1,7\nVSS,2,8\nMAP,3,9\n";
  EXPECT_THAT(cavities(read_tables(text, "a.csv").tables.at(0)), ElementsAre("7", "8", "9"));
  ReadOptions options;
  options.column_choice = {{"Beta", "cavity"}, {"Pin", "note"}, {"Alpha", "signal"}};
  const ReadReport report = read_tables(text, "a.csv", options);
  EXPECT_THAT(cavities(report.tables.at(0)), ElementsAre("1", "2", "3"));
  EXPECT_EQ(report.tables[0].pins[0].note, "7");
}

TEST(ReadTables, HardwareVersionsGiveADoubt) {
  const ReadReport report = read(
      "| Pin | Signal |\n|---|---|\n| **V1:** 22 <br/> **V2:** 34 | VSS |\n| 1 | GND |\n| 2 | MAP OR IAT "
      "|\n| 5 | MAP |\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  EXPECT_THAT(cavities(report.tables[0]), ElementsAre("22", "34", "1", "2", "5"));
  EXPECT_THAT(pin_at(report.tables[0], "34").doubts, Not(IsEmpty()));
  EXPECT_THAT(pin_at(report.tables[0], "2").doubts, Not(IsEmpty()));
}

TEST(ReadTables, ClassesFromColumnsNamesAndRemarks) {
  const ReadReport report = read(
      "| Pin | Function | Type | Direction | Notes |\n|---|---|---|---|---|\n| 1 | Brake light | | | "
      "switched to ground |\n"
      "| 2 | +12V | | out | |\n| 3 | Spare thing | ls | | |\n| 4 | Sensor earth | gnd | | |\n| 5 | A/C "
      "request | | in | pull-up |\n"
      "| 6 | KL.15 | | | |\n| 7 | Coil 1 | ign | | |\n");
  ASSERT_THAT(report.tables, SizeIs(1));
  const std::vector<PinClass> expected{PinClass::low_side_driver,       PinClass::supply_output,
                                       PinClass::low_side_driver,       PinClass::sensor_earth,
                                       PinClass::switch_to_earth_input, PinClass::supply_15,
                                       PinClass::ignition_trigger};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(report.tables[0].pins.at(i).pin_class, expected[i]) << i + 1;
  }
}

TEST(ReadTables, JsonHasTheDocumentedFields) {
  const nlohmann::json json =
      to_json(read("| Pin | Signal | Colour |\n|---|---|---|\n| 1 | GND | BK |\n| 2 | VSS | QQ |\n"));
  const nlohmann::json& pin = json.at("tables").at(0).at("pins").at(0);
  for (const char* field :
       {"connector", "cavity", "signal", "term", "class", "colour", "note", "far_end", "source", "doubts"}) {
    EXPECT_TRUE(pin.contains(field)) << field;
  }
  EXPECT_EQ(pin.size(), 12U);
  EXPECT_EQ(pin.at("colour"), (nlohmann::json{{"base", "BK"}, {"tracer", ""}, {"raw", "BK"}}));
  EXPECT_EQ(pin.at("source"), (nlohmann::json{{"file", "try.md"}, {"line", 3}, {"column", 3}}));
  EXPECT_EQ(json.at("problems").at(0).at("severity"), "warning");
}

TEST(ReadTables, AnyTextIsReadTheSameTwice) {
  rc::check("never fails, always the same", [] {
    const auto parts = *rc::gen::container<std::vector<std::string>>(rc::gen::element<std::string>(
        "Pin", "|", "\n", "Signal", "1", "A1-A4", "GND", ",", ";", "\t", "  ", "---", "=1", "L/B",
        "Connector X1", "n/c", "**", "(", "http://a b", "CAN2: x", "\n\n", "- pin: 3"));
    std::string text;
    for (const std::string& part : parts) text += part;
    RC_ASSERT(to_json(read(text)) == to_json(read(text)));
  });
}

}  // namespace
}  // namespace loomgraft::gather_read_tables_test
