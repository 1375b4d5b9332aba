#include "base/decimal.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace loomgraft::base_decimal_test {
namespace {

TEST(Decimal, ReadsOnlyWhatIsANumberThroughout) {
  EXPECT_EQ(read_decimal("2.5"), 2.5);
  EXPECT_EQ(read_decimal("-1e-3"), -0.001);
  EXPECT_EQ(read_decimal("007"), 7.0);
  for (const char* text : {"", "-", "+1", " 1", "1 ", "1,5", "1.5V", "e3"})
    EXPECT_FALSE(read_decimal(text)) << text;
}

TEST(Decimal, ReadsNumbersBeyondTheRangeOfADoubleAsInfiniteOrZero) {
  constexpr double infinity = std::numeric_limits<double>::infinity();
  EXPECT_EQ(read_decimal("1e999"), infinity);
  EXPECT_EQ(read_decimal("-1e999"), -infinity);
  EXPECT_EQ(read_decimal("1e-999"), 0.0);
  EXPECT_EQ(read_decimal(std::string(400, '9')), infinity);
  EXPECT_EQ(read_decimal("0." + std::string(400, '0') + "1"), 0.0);
}

TEST(Decimal, PrintsTheShortestTextThatReadsBack) {
  EXPECT_EQ(print_decimal(0.1), "0.1");
  EXPECT_EQ(print_decimal(12.0), "12");
  for (const double value : {1.0 / 3.0, 5e-324, 1.7976931348623157e308, -123456.789})
    EXPECT_EQ(read_decimal(print_decimal(value)), value);
}

TEST(Decimal, PrintsToSoManyDigits) {
  EXPECT_EQ(print_fixed(0.25, 3), "0.250");
  EXPECT_EQ(print_rounded(0.25, 3), "0.25");
  EXPECT_EQ(print_rounded(1200.0, 0), "1200");
  EXPECT_EQ(print_rounded(-0.0001, 3), "0");
  EXPECT_EQ(print_scientific(0.25, 2), "2.50e-01");
  EXPECT_EQ(print_fixed(1.7976931348623157e308, 3).size(), 309U + 4U);
}

}  // namespace
}  // namespace loomgraft::base_decimal_test
