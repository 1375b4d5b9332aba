#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_plain_test {
namespace {

using namespace loomgraft::testing;

TEST(Ruled, DashesUnderHeadBlankLineBeforeRows) {
  const TableText found = find_tables(
      "Connector: Body plug X7 (late cars)\n\n1234-2   Signal\n-------- -------------------\n\n1        "
      "+12V\n2        BUS-H        (OLD H)\n\n"
      "Abroad:\n\n  BUS2: Body\n",
      "a.txt");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Body plug X7 (late cars)");
  EXPECT_EQ(print_table(found.tables[0]), "1234-2|Signal\n1|+12V\n2|BUS-H        (OLD H)\n");
  EXPECT_EQ(found.tables[0].lines_after, (std::vector<std::string>{"Abroad:", "BUS2: Body"}));
  EXPECT_EQ(location_of(found.tables[0].rows[1][1]), "7:10");
}

TEST(Ruled, SimpleTableWithBlankLinesAndWrappedCells) {
  EXPECT_EQ(only_table("=====  ======\nPin    Use\n=====  ======\n\nA1     Ground\nA2     Supply\n       "
                       "(fused)\n\nA3     CAN\n=====  ======\n\nText.\n"),
            "Pin|Use\nA1|Ground\nA2|Supply (fused)\nA3|CAN\n");
}

TEST(Ruled, HeadInsideWithoutSecondRuler) {
  EXPECT_EQ(only_table("======= ====== ======\nOBD-M   DB9-F  Signal\n1       5      BUS High\n4       3     "
                       " Chassis / GND\n======= ====== ======\n"),
            "OBD-M|DB9-F|Signal\n1|5|BUS High\n4|3|Chassis / GND\n");
}

TEST(Ruled, TabsCountToEight) {
  EXPECT_EQ(only_table("Pin     Signal  Colour\n------- ------- ------\n1\tGND\tBK\n2\t\tRD\n"),
            "Pin|Signal|Colour\n1|GND|BK\n2||RD\n");
}

TEST(Ruled, TabsInTheRuler) {
  EXPECT_EQ(only_table("Pin\tSignal\n---\t------\n1\tGND\n2       B+\n"), "Pin|Signal\n1|GND\n2|B+\n");
}

TEST(Aligned, TwoBlanksBetweenColumns) {
  EXPECT_EQ(only_table("Pin  Colour   Function\n1    BK       Ground\n3             not used\n4    BU/WH    "
                       "Coolant sensor\n              signal (5 V)\n"),
            "Pin|Colour|Function\n1|BK|Ground\n3||not used\n4|BU/WH|Coolant sensor signal (5 V)\n");
}

TEST(Aligned, TwoLineHeadOverPlainRule) {
  EXPECT_EQ(
      only_table("TERMINAL      WIRE      ITEM\nNO.           COLOR\n--------------------------------\n1     "
                 "        B         Ground\n2             W/L       Battery\n"),
      "TERMINAL NO.|WIRE COLOR|ITEM\n1|B|Ground\n2|W/L|Battery\n");
}

TEST(Aligned, CavityAndSignalWithOneBlank) {
  EXPECT_EQ(only_table("Relay box:\nA1 GND        Black\nA2 +12V       Red\nA10 Ignition  Yellow\n"),
            "\nA1|GND|Black\nA2|+12V|Red\nA10|Ignition|Yellow\n");
}

TEST(Aligned, RunsOfTabs) {
  EXPECT_EQ(only_table("1\tGND\t\tBK\n2\tSupply\t\tRD\n3\tVery long signal\tGN\n"),
            "\n1|GND|BK\n2|Supply|RD\n3|Very long signal|GN\n");
}

TEST(Prose, PinLinesWithContinuation) {
  const TableText found = find_tables(
      "Pin 1 - +12V Input\nPins 9 & 10 - First bus\nPin 26 - +5V power for the inputs (mine,\nprobably "
      "yours)\nPin 32 - First input. Tied to pin 3\n\n"
      "I used the earth at pin 19 for one of them.\n",
      "a.txt");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].form, TableForm::prose);
  EXPECT_EQ(print_table(found.tables[0]),
            "\n1|+12V Input\n9 & 10|First bus\n26|+5V power for the inputs (mine, probably yours)\n32|First "
            "input. Tied to pin 3\n");
  EXPECT_EQ(location_of(found.tables[0].rows[1][0]), "2:6");
  EXPECT_EQ(location_of(found.tables[0].rows[1][1]), "2:15");
  EXPECT_EQ(found.tables[0].lines_after.size(), 1u);
}

TEST(Prose, ListItems) {
  EXPECT_EQ(only_table("- 1: GND\n- shield: drain wire\n- 2: n/c\n"),
            "\n1|GND\n|shield: drain wire\n2|n/c\n");
  EXPECT_EQ(only_table("* A3 – +12V\n* A4 – GND\n"), "\nA3|+12V\nA4|GND\n");
  EXPECT_EQ(only_table("* **Pin 1** – Ground\n* Pin 3: `CAN_H`\n"), "\n1|Ground\n3|CAN_H\n");
  EXPECT_EQ(only_table("1. Ground\n2. Supply\n"), "\n1|Ground\n2|Supply\n");
  EXPECT_EQ(only_table("<li>Pin 1\t Left indicator [Blink]</li>\n<li>Pin 3 Ground [a]<tab>Stel</li>\n"),
            "\n1|Left indicator [Blink]\n3|Ground [a] Stel\n");
  EXPECT_EQ(only_table("<ul><li>Pin 1: GND</li><li>Pin 2: <b>+12V</b> in</li></ul>\n"),
            "\n1|GND\n2|+12V in\n");
}

TEST(Prose, SideBySideAndBreaks) {
  EXPECT_EQ(only_table(" 1 - Ground          14 - Injector 1\n 2 - Supply          15 - Injector 2\n"),
            "\n1|Ground\n14|Injector 1\n2|Supply\n15|Injector 2\n");
  EXPECT_EQ(only_table("<p>1 - GND<br>2 - +12V<br/>3 - CAN H</p>\n"), "\n1|GND\n2|+12V\n3|CAN H\n");
}

TEST(Prose, ASingleBlankBetweenCavityAndText) {
  EXPECT_EQ(only_table("1 Ground\n2 Battery\n3 Ignition\n"), "\n1|Ground\n2|Battery\n3|Ignition\n");
}

TEST(Prose, LegendsAreNoPins) {
  EXPECT_TRUE(find_tables("  CAN2: Body\n  CAN3: Engine\n", "a.txt").tables.empty());
}

}  // namespace
}  // namespace loomgraft::tables_plain_test
