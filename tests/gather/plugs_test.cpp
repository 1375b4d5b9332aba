// Which plug and which cavity a row belongs to, in the forms that people type.
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "gather/choose_tables.h"
#include "gather/read_tables.h"

namespace loomgraft::gather_plugs_test {
namespace {

std::vector<std::string> cavities(const ReadReport& report) {
  std::vector<std::string> result;
  for (const PinTable& table : report.tables)
    for (const TablePin& pin : table.pins) result.push_back(pin.connector + "|" + pin.cavity);
  return result;
}

const TablePin& pin_at(const ReadReport& report, const std::string& connector, const std::string& cavity) {
  for (const PinTable& table : report.tables)
    for (const TablePin& pin : table.pins)
      if (pin.connector == connector && pin.cavity == cavity) return pin;
  static const TablePin none;
  return none;
}

bool has_problem(const ReadReport& report, std::string_view code, Severity severity) {
  for (const Problem& problem : report.problems)
    if (problem.code == code && problem.severity == severity) return true;
  return false;
}

TEST(Plugs, LetteredCavitiesUnderAHeadInAnyForm) {
  const auto text = read_tables(
      "Connector C100\n\nPin  Colour   Function\nA    Red      Battery feed\nB    Brown    Ignition feed\n"
      "AA   White    Start relay\nAB   Yellow   Reverse lamp switch\n",
      "t.txt");
  EXPECT_EQ(cavities(text), (std::vector<std::string>{"C100|A", "C100|B", "C100|AA", "C100|AB"}));
  EXPECT_EQ(pin_at(text, "C100", "B").colour.base, "BN");
  const auto pipes = read_tables("| Cavity | Circuit |\n|---|---|\n| A | Battery |\n| C | Earth |\n", "t.md");
  EXPECT_EQ(cavities(pipes), (std::vector<std::string>{"|A", "|C"}));
}

TEST(Plugs, LetteredCavitiesWithoutAHeadRunThroughTheAlphabet) {
  const auto report =
      read_tables("Round plug P4\nA  +24V\nB  0V\nC  CAN H\nD  CAN L\na  Lamp test\nb  Start\n", "t.txt");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"P4|A", "P4|B", "P4|C", "P4|D", "P4|a", "P4|b"}));
  // A legend of colour letters is no plug.
  const auto legend = read_tables("B  black\nR  red\nW  white\nG  green\n", "t.txt");
  EXPECT_TRUE(legend.tables.empty());
}

TEST(Plugs, HousingColoursAndCountsInHeadingsNamePlugs) {
  const auto report = read_tables(
      "# Unit\n## Black connector\n| Pin | Use |\n|---|---|\n| 1 | Battery |\n| 2 | Earth |\n"
      "## Grey connector\n| Pin | Use |\n|---|---|\n| 1 | Horn relay |\n| 2 | CAN high |\n"
      "## 7 pin layout\n| Pin | Use |\n|---|---|\n| 1 | Fog lamp |\n| 2 | Earth |\n",
      "t.md");
  EXPECT_EQ(cavities(report),
            (std::vector<std::string>{"Black|1", "Black|2", "Grey|1", "Grey|2", "7 pin|1", "7 pin|2"}));
  EXPECT_EQ(report.tables.size(), 1u) << "plugs of one module";
}

TEST(Plugs, AHeadingThatSaysNothingLeavesTheNameToTheOneAroundIt) {
  const auto report = read_tables(
      "# Unit\n## Connector X1 (engine side)\n### Pinout\n| Pin | Use |\n|---|---|\n| 1 | Coil 1 |\n| 2 | "
      "Coil 2 |\n"
      "## Connector X2\n### Pinout\n| Pin | Use |\n|---|---|\n| 1 | Battery |\n| 2 | Earth |\n",
      "t.md");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"X1|1", "X1|2", "X2|1", "X2|2"}));
}

TEST(Plugs, TablesWithTheSameCavitiesAreToldApartByTheirHeadings) {
  const auto report = read_tables(
      "## Sensor Pinout\n| Pin | Use |\n|---|---|\n| 1 | Signal |\n| 2 | Earth |\n"
      "## Amplifier Pinout\n| Pin | Use |\n|---|---|\n| 1 | Battery |\n| 2 | Earth |\n",
      "t.md");
  EXPECT_EQ(cavities(report),
            (std::vector<std::string>{"Sensor|1", "Sensor|2", "Amplifier|1", "Amplifier|2"}));
  ASSERT_EQ(report.tables.size(), 2u);
  EXPECT_TRUE(report.tables[0].plug_by_title);
  // They may be two modules: one is taken, and that is said.
  EXPECT_EQ(choose_tables(report.tables, "", "t.md").tables.size(), 1u);
}

TEST(Plugs, ATitleRightAboveTheColumnsIsNoRow) {
  const auto report = read_tables(
      "X1\npin  colour  what\n1    R       battery\n2    B       earth\n3    G       horn relay\n\n"
      "X2\n1  V    K line\n2  V/W  road speed\n3  Or   lock motor\n",
      "t.txt");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"X1|1", "X1|2", "X1|3", "X2|1", "X2|2", "X2|3"}));
  EXPECT_EQ(pin_at(report, "X2", "2").colour.base, "VT");
}

TEST(Plugs, AColourInFrontOfTheSignalOrBehindIt) {
  const auto front = read_tables(
      "X1-1 = Red 12V battery\nX1-2 = Red/White ignition feed\nX1-3 = Black ground\nX1-4 = Light green "
      "horn\n",
      "t.txt");
  EXPECT_EQ(pin_at(front, "X1", "2").signal, "ignition feed");
  EXPECT_EQ(pin_at(front, "X1", "2").colour.tracer, "WH");
  EXPECT_EQ(pin_at(front, "X1", "4").colour.base, "GN");
  const auto behind =
      read_tables("1 - Battery (red)\n2 - Earth (black)\n3 - Horn relay (blue/white)\n", "t.txt");
  EXPECT_EQ(pin_at(behind, "", "3").signal, "Horn relay");
  EXPECT_EQ(pin_at(behind, "", "3").colour.base, "BU");
}

TEST(Plugs, ListsWithinListsBelongToTheLineAboveThem) {
  const auto report = read_tables(
      "# Looms\n1. Rear loom\n\tColours:\n\t\tRED - feed\n\tConnectors:\n\t\tPlug P7 12 way (grey)\n"
      "\t\t\t1. CAN1_H\n\t\t\t2. CAN1_L\n\t\tPlug P8 6 way (black)\n\t\t\t1. Battery\n\t\t\t2. Earth\n",
      "t.md");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"P7|1", "P7|2", "P8|1", "P8|2"}));
}

TEST(Plugs, ProgramTextStepsAndErrorCodesAreNoPins) {
  const auto report = read_tables(
      "Steps:\n\n1. Disconnect the battery\n2. Remove the cover\n3. Fit the board\n\n"
      "```python\n1 = a\n2 = b\n```\n\n| Blinks | Meaning |\n|---|---|\n| 1 | Low battery |\n| 2 | Hot |\n\n"
      "## Plug X1\n```\nPin  Use\n1    Battery\n2    Earth\n```\n",
      "t.md");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"X1|1", "X1|2"}));
}

TEST(Plugs, ALineLeftOutsideTheTableIsSaid) {
  const auto report = read_tables(
      "| Pin | Use |\n|---|---|\n| 1 | Battery |\n| 2 | Earth |\n\nRemark: taken from the old book\n\n3 - "
      "Horn relay\n",
      "t.md");
  EXPECT_TRUE(has_problem(report, "line-not-read", Severity::warning));
  const auto mentioned = read_tables(
      "Pin 1 - Battery\nPin 2 - Earth\nPin 5 - Horn\n\nAll of these (2, 7, 8) are the same earth.\n",
      "t.txt");
  EXPECT_TRUE(has_problem(mentioned, "line-not-read", Severity::note));
  EXPECT_FALSE(has_problem(mentioned, "line-not-read", Severity::warning));
}

TEST(Plugs, TheVehiclesOwnColourIsTakenOfTwo) {
  const auto report = read_tables(
      "Pin,Wire colour,Vehicle colour,Function\n1,RD,RD/WH,Battery\n2,BK,BN,Earth\n3,GN,YE,Horn\n", "t.csv");
  EXPECT_EQ(pin_at(report, "", "2").colour.base, "BN");
  EXPECT_TRUE(has_problem(report, "colour-column-chosen", Severity::note));
}

TEST(Plugs, RulesOfAPersonHoldForTheWholeFile) {
  ReadOptions options;
  options.colour_codes = {{"LG", "TQ"}};
  options.types = {{"X7", PinClass::knock}};
  const auto report =
      read_tables("Pin,Wire,Type,Function\n1,LG/R,X7,Left\n2,LG,x7,Right\n3,R,ls,Horn relay\n4,B,gnd,Earth\n",
                  "t.csv", options);
  EXPECT_EQ(pin_at(report, "", "1").colour.base, "TQ");
  EXPECT_EQ(pin_at(report, "", "1").colour.tracer, "RD");
  EXPECT_EQ(pin_at(report, "", "2").pin_class, PinClass::knock);
  EXPECT_EQ(pin_at(report, "", "3").pin_class, PinClass::low_side_driver);
  EXPECT_EQ(pin_at(report, "", "2").stated_type, "x7");
}

TEST(Plugs, ARuleReplacesOneCodeOfTheFilesOwnLegend) {
  ReadOptions options;
  options.colour_codes = {{"QB", "TQ"}};
  const auto report = read_tables(
      "Colours: QA red, QB black, QC green\n\nPin,Colour,Function\n1,QA,Battery\n2,QB,Earth\n3,QC/QB,Horn\n",
      "t.csv", options);
  EXPECT_EQ(pin_at(report, "", "1").colour.base, "RD");
  EXPECT_EQ(pin_at(report, "", "2").colour.base, "TQ");
  EXPECT_EQ(pin_at(report, "", "3").colour.tracer, "TQ");
}

TEST(Plugs, TwoPinsInOneRowAreStacked) {
  const auto report = read_tables(
      "| Pin | Use | Pin | Use |\n|---|---|---|---|\n| A1 | Battery | B1 | CAN high |\n| A2 | Earth | B2 | "
      "CAN low |\n",
      "t.md");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"|A1", "|A2", "|B1", "|B2"}));
  EXPECT_EQ(pin_at(report, "", "B2").signal, "CAN low");
}

TEST(Plugs, JumpersOfABoardAreNoPins) {
  const auto report = read_tables(
      "JP1: 1-2 closed = 12V\nJP2: 2-3 closed = 5V\n\n## Plug X1\nPin 1: Battery\nPin 2: Earth\n", "t.md");
  EXPECT_EQ(cavities(report), (std::vector<std::string>{"X1|1", "X1|2"}));
}

TEST(Plugs, ColoursBehindACommaInAList) {
  const auto report = read_tables(
      "Connector C2 (grey, 12 cavities)\n1) Battery +12V, RED 2.5mm\n2) Earth, BLACK 2.5mm\n3) not used\n"
      "4) Ignition switched, WHITE\n5) Brake light switch, GREEN/YELLOW\n",
      "t.txt");
  EXPECT_EQ(pin_at(report, "C2", "1").colour.base, "RD");
  EXPECT_EQ(pin_at(report, "C2", "4").signal, "Ignition switched");
}

TEST(Plugs, AFuseColumnOfAPinTableIsARemark) {
  const auto report = read_tables("Pin,Signal,Fuse\n1,Battery,F3 20A\n2,Earth,-\n", "t.csv");
  EXPECT_EQ(pin_at(report, "", "1").note, "fuse F3 20A");
  EXPECT_EQ(pin_at(report, "", "2").note, "");
}

TEST(Plugs, TablesHaveNamesOfTheirOwn) {
  const auto report = read_tables(
      "# Box\n| Pin | Use |\n|---|---|\n| 1 | a b |\n| 2 | c d |\n\ntext between\n\n"
      "| Pin | Use |\n|---|---|\n| 1 | e f |\n| 2 | g h |\n",
      "t.md");
  std::set<std::string> names;
  for (const PinTable& table : report.tables) EXPECT_TRUE(names.insert(table.name).second);
  EXPECT_EQ(names.size(), 2u);
}

}  // namespace
}  // namespace loomgraft::gather_plugs_test
