#include "gather/shared_lines.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace loomgraft::gather_shared_lines_test {
namespace {

using namespace loomgraft::gather;

using ::testing::ElementsAre;
using ::testing::IsEmpty;

std::vector<TablePin> pins() {
  std::vector<TablePin> list(3);
  list[0].connector = "C3";
  list[0].cavity = "6";
  list[0].signal = "eng. speed out";
  list[0].term = "RPM";
  list[1].connector = "C3";
  list[1].cavity = "16";
  list[1].signal = "throttle out";
  list[1].term = "TP";
  list[2].signal = "cab heater";
  list[2].cavity = "4";
  return list;
}

// "place signal > listener" for each circuit of the line.
std::vector<std::string> told(std::string_view line) {
  std::vector<std::string> circuits;
  for (const TableShared& c : read_shared_line(line, pins())) {
    const std::string place = c.cavity.empty() ? "?" : c.connector + "-" + c.cavity;
    circuits.push_back(place + " " + c.signal + " > " + c.module);
  }
  return circuits;
}

const auto both =
    ElementsAre("C3-6 eng. speed out > gearbox controller", "C3-16 throttle out > gearbox controller");

TEST(SharedLines, ListsUnderAHead) {
  EXPECT_THAT(told("Shared with gearbox controller: engine speed, throttle"), both);
  EXPECT_THAT(told("\"Shared circuits with the gearbox controller: engine speed & throttle\";;;"), both);
  EXPECT_THAT(told("* gemeinsam mit gearbox controller: eng. speed out und throttle out"), both);
  EXPECT_THAT(
      told("shared circuits: the line at C3-6 and x (C3-16) are also read by the gearbox controller."), both);
  EXPECT_THAT(told("Shared: cab heater, yaw"), ElementsAre("-4 cab heater > ", "? yaw > "));
}

TEST(SharedLines, ProseNeedsAPinAndAController) {
  EXPECT_THAT(
      told("The rev counter wire and the throttle wire also go to the gearbox controller. Mind them."), both);
  EXPECT_THAT(told("The rev counter wire also goes to the dashboard top."), IsEmpty());
  EXPECT_THAT(told("The yaw wire is also read by the gearbox controller"), IsEmpty());
  EXPECT_THAT(told("I shared this table with a friend: thank him"), IsEmpty());
}

TEST(SharedLines, OtherLinesAreProse) {
  for (const char* line : {"", ":", "shared", "shared:", "shared with : ,;,", "also go to", " and "})
    EXPECT_THAT(told(line), IsEmpty()) << line;
  EXPECT_THAT(told("shared with x: " + std::string(1000, 'a')), IsEmpty());
}

}  // namespace
}  // namespace loomgraft::gather_shared_lines_test
