#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_html_test {
namespace {

using namespace loomgraft::testing;

TEST(Html, SpansEntitiesBreaksAndMissingEndTags) {
  const TableText found = find_tables(
      "<h2>Plug C101</h2>\n<table>\n<tr><th>Pin</th><th>Signal</th><th colspan=\"2\">Wire</th></tr>\n"
      "<tr><td>1</td><td "
      "rowspan=2>GND</td><td>BK</td><td>1.5&nbsp;mm&sup2;</td></tr>\n<tr><td>2<td>BN<td>1.0</tr>\n"
      "<tr><td>3</td><td>left<br>right</td><td></td></tr>\n<tr><td colspan=4>Spare</td></tr>\n</table>\n",
      "a.html");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Plug C101");
  EXPECT_EQ(print_table(found.tables[0]),
            "Pin|Signal|Wire|Wire\n1|GND|BK|1.5\xC2\xA0mm²\n2|GND|BN|1.0\n3|left\nright|\nSpare|||\n");
  EXPECT_EQ(location_of(found.tables[0].rows[1][0]), "5:9");
}

TEST(Html, InnermostTablesOfALayout) {
  EXPECT_EQ(only_table("<table><tr><td><table><tr><td>1</td><td>A</td></tr><tr><td>2</td><td>B</td></tr></"
                       "table></td></tr></table>"),
            "\n1|A\n2|B\n");
}

TEST(Html, CellOverThreeRows) {
  EXPECT_EQ(only_table("<table><tr><td rowspan=3>a</td><td>1</td></tr><tr><td>2</td></tr><tr><td>3</td></tr>"
                       "<tr><td>b</td><td>4</td></tr></table>"),
            "\na|1\na|2\na|3\nb|4\n");
}

TEST(Html, CaptionAndHeadOfPlainCells) {
  const TableText found = find_tables(
      "<table><caption>Plug <b>Z</b></caption><thead><tr><td>Pin</td><td>Signal</td></tr></thead>"
      "<tbody><tr><th>1</th><td>&lt;none&gt;</td></tr></tbody></table>",
      "a");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Plug Z");
  EXPECT_EQ(print_table(found.tables[0]), "Pin|Signal\n1|<none>\n");
}

TEST(Html, AListOfTermsIsATableOfTwoColumns) {
  const TableText found = find_tables(
      "<h2>Plug X3</h2>\n<dl class=\"pins\">\n<dt>1</dt><dd>GND</dd>\n<dt>2<dt>3<dd>+12 V&nbsp;in\n"
      "<DT>4</DT><DD>CAN <b>high</b></DD><DD>twisted with 5</DD>\n<dt>5</dt>\n</dl>\nafter\n",
      "a.html");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].name, "Plug X3");
  EXPECT_EQ(print_table(found.tables[0]),
            "\n1|GND\n2|+12 V\xC2\xA0in\n3|+12 V\xC2\xA0in\n4|CAN high|twisted with 5\n5\n");
  EXPECT_EQ(location_of(found.tables[0].rows[0][1]), "3:15");
}

TEST(Html, AHeadingOnTheSameLineHidesNoTable) {
  EXPECT_EQ(only_table("<h3>X3</h3><dl><dt>1</dt><dd>GND</dd><dt>2</dt><dd>VSS</dd></dl>"),
            "\n1|GND\n2|VSS\n");
}

TEST(Html, AListInsideACellIsText) {
  EXPECT_EQ(only_table("<table><tr><td>1</td><td><dl><dt>GND</dt><dd>black</dd></dl></td></tr>"
                       "<tr><td>2</td><td>VSS</td></tr></table>"),
            "\n1|GND black\n2|VSS\n");
  EXPECT_EQ(
      only_table("<dl><dt>1</dt><dd>GND<dl><dt>gauge</dt><dd>2.5</dd></dl></dd><dt>2</dt><dd>VSS</dd></dl>"),
      "\n1|GND gauge 2.5\n2|VSS\n");
}

TEST(Html, UnclosedListsLoseNothing) {
  EXPECT_EQ(only_table("<dl><dt>1<dd>GND<dt>2<dd>VSS"), "\n1|GND\n2|VSS\n");
  const TableText found =
      find_tables("<dl><dt>1<dd><table><tr><td>A<td>GND<tr><td>B<td>VSS</table></dl>", "a");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(print_table(found.tables[0]), "\nA|GND\nB|VSS\n");
}

}  // namespace
}  // namespace loomgraft::tables_html_test
