#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_pipes_test {
namespace {

using namespace loomgraft::testing;

TEST(Pipes, MarkdownWithAndWithoutOuterBars) {
  EXPECT_EQ(only_table("| Pin | Use |\n|---|:-:|\n| 1 | GND |\n| 2 | B+ |\n"), "Pin|Use\n1|GND\n2|B+\n");
  EXPECT_EQ(only_table("Pin | Use\n--- | ---\n1 | GND\n2 |\n| B+\n"), "Pin|Use\n1|GND\n2\n|B+\n");
}

TEST(Pipes, ShortAndLongRowsStay) {
  EXPECT_EQ(only_table("|Pin|Use|Col|\n|-|-|-|\n|A1|Ground|Black\n|A2|Sig|White|extra\n|A3||\n"),
            "Pin|Use|Col\nA1|Ground|Black\nA2|Sig|White|extra\nA3|\n");
}

TEST(Pipes, EscapesAndMarks) {
  EXPECT_EQ(
      only_table(
          "|Pin|Use|\n|-|-|\n|1|a \\| b|\n|2|**B+** `KL30`|\n|3|x<br>y|\n|4|[CAN](http://a.b/c) &amp; more|\n"
          "|5|FR_SP_LH+ [a]|\n"),
      "Pin|Use\n1|a | b\n2|B+ KL30\n3|x\ny\n4|CAN & more\n5|FR_SP_LH+ [a]\n");
}

TEST(Pipes, RulerOfDashesAndPluses) {
  const TableText found = find_tables(
      "Ratings\n=======\n\nPin  | Old     | New  |\n-----+---------+------+\n  1  | +12V In |      |\n 10  | "
      "CAN     | LIN  |\n",
      "a.txt");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Ratings");
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Old|New\n1|+12V In|\n10|CAN|LIN\n");
  EXPECT_EQ(location_of(found.tables[0].rows[1][0]), "7:2");
  EXPECT_EQ(location_of(found.tables[0].rows[1][2]), "7:18");
}

TEST(Pipes, WithoutHead) {
  EXPECT_EQ(only_table("1 | GND | black\n2 | +12V | red\n"), "\n1|GND|black\n2|+12V|red\n");
}

TEST(Pipes, PlainRuleUnderHead) {
  EXPECT_EQ(only_table("Pin | Signal\n------------\n1 | GND\n2 | B+\n"), "Pin|Signal\n1|GND\n2|B+\n");
}

TEST(Pipes, QuotedAndRuledGroups) {
  EXPECT_EQ(only_table("> | Pin | Use |\n> | --- | --- |\n> | 1 | x |\n"), "Pin|Use\n1|x\n");
  EXPECT_EQ(only_table("| Pin | Sig |\n|-----+-----|\n| 1 | GND |\n|-----+-----|\n| 2 | B+ |\n"),
            "Pin|Sig\n1|GND\n2|B+\n");
}

TEST(Pipes, GridWithWrappedCells) {
  EXPECT_EQ(
      only_table("+-----+--------+\n| Pin | Signal |\n+=====+========+\n| 1   | Sensor |\n|     | ground |\n"
                 "+-----+--------+\n| 2   | +5 V   |\n+-----+--------+\n"),
      "Pin|Signal\n1|Sensor ground\n2|+5 V\n");
}

TEST(Pipes, GridWithoutBordersBetweenRows) {
  EXPECT_EQ(only_table(
                "+----+------+\n| id | name |\n+----+------+\n|  1 | GND  |\n|  2 | 12V  |\n+----+------+\n"),
            "id|name\n1|GND\n2|12V\n");
  EXPECT_EQ(only_table("┌─────┬────────┐\n│ Pin │ Signal │\n├─────┼────────┤\n│ 1   │ GND    │\n│ 2   │ +12V "
                       "  │\n└─────┴────────┘\n"),
            "Pin|Signal\n1|GND\n2|+12V\n");
}

TEST(Pipes, LineBlocksAreNoTable) {
  EXPECT_TRUE(find_tables("| first line\n| second line\n", "a.rst").tables.empty());
}

TEST(Pipes, NamesComeFromTheNearestHeading) {
  const TableText found = find_tables(
      "# Unit\n\n## Plug A\n\nText.\n\n| Pin | Use |\n|---|---|\n| 1 | x |\n\nLegend: x is y.\n\n**Plug "
      "B:**\n| Pin | Use |\n|---|---|\n| 1 | z |\n\n"
      "Resistance of switches:\n\n| Pin | Use |\n|---|---|\n| 2 | q |\n",
      "a.md");
  ASSERT_EQ(found.tables.size(), 3u);
  EXPECT_EQ(found.tables[0].name, "Plug A");
  EXPECT_EQ(found.tables[0].lines_after, (std::vector<std::string>{"Legend: x is y."}));
  EXPECT_EQ(found.tables[1].name, "Plug B");
  EXPECT_EQ(found.tables[2].name, "Resistance of switches");
}

TEST(Pipes, Wiki) {
  const TableText found = find_tables(
      "== Plug ==\n{| class=\"wikitable\"\n|+ Plug A\n! Pin !! Signal\n|-\n| 1 || GND\n|-\n| style=\"x=1\" | "
      "2\n| [[CAN|CAN bus]]\n|}\n",
      "a");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Plug A");
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Signal\n1|GND\n2|CAN bus\n");
}

}  // namespace
}  // namespace loomgraft::tables_pipes_test
