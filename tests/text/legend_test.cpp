#include "text/legend.h"

#include <gtest/gtest.h>

namespace loomgraft::text_legend_test {
namespace {

TEST(Legend, ALineIsANameAndItsMeaning) {
  const auto line = read_legend_line("  * CAN2: Body ");
  ASSERT_TRUE(line);
  EXPECT_EQ(line->name, "CAN2");
  EXPECT_EQ(line->meaning, "Body");
  EXPECT_EQ(read_legend_line("CAN 2: Body")->name, "CAN 2");
  for (const char* text : {"Pins of the plug: all", "CAN2:Body", "x: y", ": z", "CAN2: ", ""})
    EXPECT_FALSE(read_legend_line(text)) << text;
}

TEST(Legend, ANameIsMeantWhereItIsAWord) {
  for (const char* signal : {"CAN2-H", "CAN2_H", "high CAN2", "CAN 2 H", "can-2 high", "CAN2H"})
    EXPECT_TRUE(legend_is_meant("CAN2", signal)) << signal;
  for (const char* signal : {"CAN21-H", "MCAN2", "CAN", "CAN3-H 2", ""})
    EXPECT_FALSE(legend_is_meant("CAN2", signal)) << signal;
  EXPECT_FALSE(legend_is_meant("IN", "Brake in")) << "without a number the letters count as they stand";
}

TEST(Legend, ANetworkEndsBeforeItsDetails) {
  EXPECT_EQ(network_in("Driveline @500 kbit/s: ABS, gearbox"), "Driveline");
  EXPECT_EQ(network_in("Body (slow)"), "Body");
  EXPECT_EQ(network_in("Body fault tolerant"), "Body fault tolerant");
}

}  // namespace
}  // namespace loomgraft::text_legend_test
