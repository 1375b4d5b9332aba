#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_records_test {
namespace {

using namespace loomgraft::testing;

TEST(Yaml, ListOfRecords) {
  const TableText found = find_tables(
      "# a board\npins:\n  - pin: 1\n    function: Injector #1\n    note: a\n  - {pin: 2, function: GND}\n  "
      "# - pin: 3\n  #   function: old\n"
      "  - pin: 007\n    function: \"quoted # in\"\n    id: [A, B]\n# a remark\n  - pin: 5J\n",
      "a.yaml");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]),
            "pin|function|note|id\n1|Injector|a|\n2|GND||\n007|quoted # in||A, B\n5J|||\n");
  EXPECT_EQ(found.tables[0].rows[0][1].cut_off, "#1");
  EXPECT_EQ(found.tables[0].rows[2][1].cut_off, "");
  EXPECT_EQ(location_of(found.tables[0].rows[0][1]), "4:15");
  EXPECT_EQ(location_of(found.tables[0].rows[1][1]), "6:24");
  EXPECT_TRUE(found.problems.empty());
}

TEST(Yaml, OneBadRecordCostsOneProblem) {
  const TableText found = find_tables(
      "pins:\n  - pin: 1\n    function: bad: colon\n  - pin: 2\n    function: *alias\n  - pin: 3\n    "
      "function: \"open\n  - pin: 4\n    function: GND\n",
      "a.yaml");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]), "pin|function\n1|bad: colon\n2|*alias\n3|\"open\n4|GND\n");
  EXPECT_EQ(found.problems.size(), 3u);
  EXPECT_EQ(found.problems[0].code, "bad-record");
  EXPECT_EQ(found.problems[0].location.line, 3);
}

TEST(Yaml, NestedListsAndMapsOfCavities) {
  const TableText found = find_tables(
      "name: Board\nconnectors:\n  - name: X1\n    pins:\n      - pin: 1\n        function: a\n  - name: "
      "X2\n    pins:\n      A1: GND\n"
      "      A2: {signal: +5V, colour: RD}\n      A3:\n        signal: CAN #1\nother:\n  X3: [{pin: 1, f: "
      "a}, {pin: 2, f: b}]\n",
      "a.yml");
  ASSERT_EQ(found.tables.size(), 3u);
  EXPECT_EQ(found.tables[0].name, "X1");
  EXPECT_EQ(print_table(found.tables[0]), "pin|function\n1|a\n");
  EXPECT_EQ(found.tables[1].name, "X2");
  EXPECT_EQ(print_table(found.tables[1]), "pin|signal|colour\nA1|GND|\nA2|+5V|RD\nA3|CAN|\n");
  EXPECT_EQ(found.tables[1].rows[2][1].cut_off, "#1");
  EXPECT_EQ(found.tables[2].name, "X3");
  EXPECT_EQ(print_table(found.tables[2]), "pin|f\n1|a\n2|b\n");
}

TEST(Yaml, FoldedTextAndDashAlone) {
  EXPECT_EQ(only_table("- pin: A2\n  function: >-\n    Long text\n    folded\n-\n  pin: A4\n  function: "
                       "wrapped\n    twice\n",
                       "a.yaml"),
            "pin|function\nA2|Long text folded\nA4|wrapped twice\n");
}

TEST(Yaml, RecognisedWithoutItsFileName) {
  EXPECT_EQ(only_table("pins:\n  - pin: 1\n    function: GND\n  - pin: 2\n    function: B+\n", "pasted"),
            "pin|function\n1|GND\n2|B+\n");
}

TEST(Yaml, ListsOfPlainValuesAreKeptAsLines) {
  const TableText found = find_tables("pins:\n  - pin: 1\n    f: a\nground: [A5, A6]\n", "a.yaml");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].lines_after, (std::vector<std::string>{"ground: [A5, A6]"}));
}

TEST(Json, RecordsNestedAndMaps) {
  const TableText found = find_tables(
      "{\"connectors\":[{\"name\":\"C1\",\"pins\":[{\"pin\":1,\"signal\":\"GND\",\"tags\":[\"a\",\"b\"]},\n "
      "{\"pin\":\"A2\",\"signal\":\"\\u00b5\"}]},\n"
      "{\"name\":\"C2\",\"pins\":{\"A1\":\"GND\",\"A2\":{\"signal\":\"s\",\"colour\":\"RD\"}}}]}",
      "a.json");
  ASSERT_EQ(found.tables.size(), 2u);
  EXPECT_EQ(found.tables[0].name, "C1");
  EXPECT_EQ(print_table(found.tables[0]), "pin|signal|tags\n1|GND|a, b\nA2|µ|\n");
  EXPECT_EQ(location_of(found.tables[0].rows[1][0]), "2:10");
  EXPECT_EQ(found.tables[1].name, "C2");
  EXPECT_EQ(print_table(found.tables[1]), "pin|signal|colour\nA1|GND|\nA2|s|RD\n");
}

TEST(Json, OneRecordALine) {
  EXPECT_EQ(only_table("{\"pin\": 1, \"s\": \"GND\"}\n{\"pin\": 2, \"s\": \"B+\", \"c\": null}\n"),
            "pin|s|c\n1|GND|\n2|B+|\n");
}

TEST(Json, BrokenInThreePlacesLosesNoRecord) {
  const TableText found = find_tables(
      "[\n {\"pin\": \"A1\", \"f\": \"GND\"},\n {\"pin\": \"A2\", \"f\": \"B+},\n {\"pin\": \"A3\" \"f\": "
      "oops},\n {\"pin\": \"A4\", \"fun\n",
      "a.json");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]), "pin|f\nA1|GND\nA2|B+\nA3|oops\nA4|\n");
  ASSERT_FALSE(found.problems.empty());
  EXPECT_EQ(found.problems[0].location.line, 3);
  EXPECT_EQ(found.problems[0].location.column, 21);
}

TEST(Json, RowsOfCells) {
  EXPECT_EQ(only_table("[[\"Pin\",\"Signal\"],[1,\"GND\"],[2,\"+12V\"]]"), "Pin|Signal\n1|GND\n2|+12V\n");
}

}  // namespace
}  // namespace loomgraft::tables_records_test
