// Lines and places, on which every form relies.
#include <gtest/gtest.h>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

using namespace loomgraft::tables;

TEST(Document, LineEndsInAnyMix) {
  std::vector<std::string_view> lines;
  EXPECT_EQ(split_lines("a\nb\r\nc\rd\r\r\n\ne", lines), 13u);
  EXPECT_EQ(lines, (std::vector<std::string_view>{"a", "b", "c", "d", "", "", "e"}));
}

TEST(Document, ColumnsForwardAndBack) {
  ColumnCursor column("äb°cd");
  EXPECT_EQ(column.at(5), 4);
  EXPECT_EQ(column.at(2), 2);
  EXPECT_EQ(column.at(0), 1);
  EXPECT_EQ(column.at(7), 6);
  EXPECT_EQ(column.at(100), 6);
}

TEST(Document, LocationsInAnyOrder) {
  Document document{"a", "ab\ncäd\n\nx", {}};
  split_lines(document.text, document.lines);
  LocationCursor place(document);
  const auto at = [&](std::size_t offset) {
    place.move_to(offset);
    return std::pair(place.line(), place.column());
  };
  EXPECT_EQ(at(6), std::pair(2, 3));
  EXPECT_EQ(at(1), std::pair(1, 2));
  EXPECT_EQ(at(9), std::pair(4, 1));
}

TEST(Document, CavityNames) {
  for (const char* name : {"1", "A1", "1A", "105a", "K17", "4AA", "C101-12", "3/13", "#7", "B", "E10-1"})
    EXPECT_TRUE(looks_like_cavity(name)) << name;
  for (const char* name : {"", "-", "GND", "+12V", "CAN-H", "a", "Pin", "-1", "1-", "12 V", "Ground"})
    EXPECT_FALSE(looks_like_cavity(name)) << name;
}

}  // namespace
}  // namespace loomgraft::tables
