#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_delimited_test {
namespace {

using namespace loomgraft::testing;

TEST(Delimited, CommaSemicolonTab) {
  EXPECT_EQ(only_table("Pin,Signal\n1,GND\n2,+12V\n"), "Pin|Signal\n1|GND\n2|+12V\n");
  EXPECT_EQ(only_table("Pin;Strom\r\n1;0,75\r\n2;1,5\r\n"), "Pin|Strom\n1|0,75\n2|1,5\n");
  EXPECT_EQ(only_table("Pin\tSignal\tColour\rA1\tGND\tBK\rA2\t\tRD\rA3\tCAN-H\r"),
            "Pin|Signal|Colour\nA1|GND|BK\nA2||RD\nA3|CAN-H\n");
}

TEST(Delimited, CommaWithBlankBehindIt) {
  EXPECT_EQ(only_table("Pin, Signal, Colour\n1, GND, BK\n2, Sensor supply (5V), RD\n"),
            "Pin|Signal|Colour\n1|GND|BK\n2|Sensor supply (5V)|RD\n");
}

TEST(Delimited, QuotesHoldDelimitersQuotesAndLineEnds) {
  const TableText found =
      find_tables("Pin,Signal,Note\n1,\"Ground,\nchassis\",x\n2,\"6\"\" lead\",y\n", "a.csv");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Signal|Note\n1|Ground,\nchassis|x\n2|6\" lead|y\n");
  EXPECT_EQ(location_of(found.tables[0].rows[0][2]), "3:10");
  EXPECT_EQ(location_of(found.tables[0].rows[1][1]), "4:4");
  EXPECT_TRUE(found.problems.empty());
}

TEST(Delimited, UnclosedQuoteCostsOneProblemAndNoRow) {
  const TableText found =
      find_tables("Pin,Signal,Note\n1,GND,\"chassis\n2,+12V,ok\n3,\"CAN, high\",x\n", "a.csv");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Signal|Note\n1|GND|\"chassis\n2|+12V|ok\n3|CAN, high|x\n");
  EXPECT_EQ(codes(found.problems), "unclosed-quote@2:7");
}

TEST(Delimited, FormulaLikeCellsStayText) {
  EXPECT_EQ(only_table("Pin,Signal,Note\n1,=1+1,-\n2,+12V,@x\n"), "Pin|Signal|Note\n1|=1+1|-\n2|+12V|@x\n");
}

TEST(Delimited, SpreadsheetTitlesAndBlankRows) {
  const TableText found = find_tables(
      "Heater unit;;;\nStecker X1;;;\nPin;Farbe;Quer;Funktion\n1;sw;0,75;Klemme 15\n;;;\n4;ro;2,5;Klemme "
      "30\n\n"
      "Stecker X2;;;\nPin;Farbe;Quer;Funktion\n1;gr;0,35;K\n",
      "a.csv");
  ASSERT_EQ(found.tables.size(), 2u);
  EXPECT_EQ(found.tables[0].name, "Stecker X1");
  EXPECT_EQ(print_table(found.tables[0]),
            "Pin|Farbe|Quer|Funktion\n1|sw|0,75|Klemme 15\n4|ro|2,5|Klemme 30\n");
  EXPECT_EQ(found.tables[1].name, "Stecker X2");
  EXPECT_EQ(print_table(found.tables[1]), "Pin|Farbe|Quer|Funktion\n1|gr|0,35|K\n");
}

TEST(Delimited, ARowAfterABlankLineMustFitTheHead) {
  const std::string head = "Pin,Signal,Colour\n1,GND,BK\n2,n/c\n";
  EXPECT_EQ(only_table(head + "\n3,VSS,YE\n"), "Pin|Signal|Colour\n1|GND|BK\n2|n/c\n3|VSS|YE\n");
  EXPECT_EQ(only_table(head + "\n3,n/c\n"), "Pin|Signal|Colour\n1|GND|BK\n2|n/c\n3|n/c\n");
}

TEST(Delimited, AShortRowAloneAfterABlankLineIsNotLost) {
  EXPECT_EQ(only_table("Pin,Signal,Colour\n1,GND,BK\n2,VSS,YE\n\n34,n/c\n"),
            "Pin|Signal|Colour\n1|GND|BK\n2|VSS|YE\n34|n/c\n");
  EXPECT_EQ(only_table("Pin;Signal;Colour\n1;GND;BK\n2;VSS;YE\n;;\n34, 35;n/c;;;\n"),
            "Pin|Signal|Colour\n1|GND|BK\n2|VSS|YE\n34, 35|n/c|||\n");
  EXPECT_EQ(only_table("Pin,Signal,Colour\n1,GND,BK\n2,VSS,YE\n\nby hand, in winter\n"),
            "Pin|Signal|Colour\n1|GND|BK\n2|VSS|YE\n");
}

TEST(Delimited, TitleLineBetweenTablesWithoutBlankLine) {
  const TableText found = find_tables("Pin,Sig\n1,a\n2,b\nPlug B\nPin,Sig\n1,c\n", "a.csv");
  ASSERT_EQ(found.tables.size(), 2u);
  EXPECT_EQ(found.tables[1].name, "Plug B");
  EXPECT_EQ(print_table(found.tables[1]), "Pin|Sig\n1|c\n");
}

TEST(Delimited, LinesBeforeTheHead) {
  const TableText found = find_tables("Exported 2020\nby hand\n\nPin,Sig,Col\n1,a,b\n", "a.csv");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].lines_before, (std::vector<std::string>{"Exported 2020", "by hand"}));
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Sig|Col\n1|a|b\n");
}

TEST(Delimited, NoHead) {
  EXPECT_EQ(only_table("A1,GND\nA2,+12V\n"), "\nA1|GND\nA2|+12V\n");
}

TEST(Delimited, UnitRowsStayRows) {
  EXPECT_EQ(only_table("Time,Speed\ns,km/h\n0.1,12\n0.2,13\n"), "Time|Speed\ns|km/h\n0.1|12\n0.2|13\n");
}

TEST(Delimited, ProseWithCommasIsNoTable) {
  const TableText found = find_tables(
      "The plug has seven cavities, of which four are used, the rest is empty.\n"
      "In some cars, mostly early ones, the earth wire is missing altogether, so look.\n",
      "a.txt");
  EXPECT_TRUE(found.tables.empty());
  EXPECT_EQ(codes(found.problems), "no-table@0:0");
}

TEST(Delimited, HeadWithoutRows) {
  EXPECT_EQ(codes(find_tables("| Pin | Signal |\n|---|---|\n", "a.md").problems), "no-rows@1:3");
}

}  // namespace
}  // namespace loomgraft::tables_delimited_test
