// The table of readings that the page is tested with too.
#include "find/entered_reading.h"

#include <gtest/gtest.h>

#include <fstream>

#include "tests/find/csv_fields.h"

namespace loomgraft::find_entered_reading_test {
namespace {

using samples::fields_of;

TEST(EnteredReading, IsReadAsTheTableSays) {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/tests/data/readings.csv");
  std::string line;
  std::getline(file, line);
  int rows = 0;
  while (std::getline(file, line)) {
    const std::vector<std::string> row = fields_of(line);
    ASSERT_EQ(row.size(), 4U) << line;
    const auto value = entered_reading(row[0], row[1]);
    ++rows;
    if (!row[3].empty()) {
      ASSERT_FALSE(value.has_value()) << line << ": " << *value;
      EXPECT_STREQ(name_of(value.error()), row[3].c_str()) << line;
      continue;
    }
    ASSERT_TRUE(value.has_value()) << line << ": " << name_of(value.error());
    EXPECT_NEAR(*value, std::stod(row[2]), 1e-12 * std::abs(std::stod(row[2]))) << line;
  }
  EXPECT_GT(rows, 50);
}

TEST(EnteredReading, NoMoreAmperesThanTheClampReads) {
  EXPECT_TRUE(entered_reading("300 A", "A").has_value());
  EXPECT_FALSE(entered_reading("300 A", "A", "simple").has_value());
}

}  // namespace
}  // namespace loomgraft::find_entered_reading_test
