#include "contention/stated_fuse.h"

#include <gtest/gtest.h>

namespace loomgraft::standards_stated_fuse_test {
namespace {

struct Line {
  const char* text;
  const char* name;
  double rating;  // 0: none
};

constexpr Line lines[] = {
    {"Sich. 19, 15 A", "19", 15},
    {"fuse F12 20A", "F12", 20},
    {"Klemme 30 über Sicherung 7, 7,5A", "7", 7.5},
    {"Battery feed (fuse no. 4 / 25 amp)", "4", 25},
    {"fused 10 A", "", 10},
    {"via 30 A fuse", "", 30},
    {"40A fuse SB3", "SB3", 40},
    {"F5 = 5 A", "F5", 5},
    {"fusible 3 (15 A)", "3", 15},
    {"max. 2 A", "", 0},
    {"F12", "", 0},
    {"fuse 12", "", 0},
    {"Relay F, 0.2 A", "", 0},
    {"Sensor supply 5 V, 100 mA", "", 0},
    {"fuse box, pin 3", "", 0},
    {"max 2 A, fuse F8 20A", "F8", 20},
    {"10 A fuse, max 5 A load", "", 10},
};

TEST(StatedFuse, IsReadFromText) {
  for (const Line& line : lines) {
    const auto fuse = stated_fuse(line.text);
    ASSERT_EQ(fuse.has_value(), line.rating > 0) << line.text;
    if (!fuse) continue;
    EXPECT_EQ(fuse->name, line.name) << line.text;
    EXPECT_DOUBLE_EQ(fuse->rating.si, line.rating) << line.text;
  }
}

}  // namespace
}  // namespace loomgraft::standards_stated_fuse_test
