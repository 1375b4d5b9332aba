#include "text/csv_out.h"

#include <gtest/gtest.h>

namespace loomgraft::text_csv_out_test {
namespace {

TEST(CsvOut, QuotesAsRfc4180Says) {
  EXPECT_EQ(csv_line({"a", "b,c", "say \"x\"", "two\nlines", ""}),
            "a,\"b,c\",\"say \"\"x\"\"\",\"two\nlines\",\r\n");
}

TEST(CsvOut, FormulasBecomeText) {
  EXPECT_EQ(csv_line({"=1+2", "+12V", "@SUM(A1)", "-", "\tx"}), "'=1+2,'+12V,'@SUM(A1),'-,\"'\tx\"\r\n");
}

TEST(CsvOut, NumbersKeepTheirSign) {
  EXPECT_EQ(csv_line({"-0.5", "+3", "1e3"}), "-0.5,'+3,1e3\r\n");
}

}  // namespace
}  // namespace loomgraft::text_csv_out_test
