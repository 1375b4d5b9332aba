#include "text/csv.h"

#include <gtest/gtest.h>

namespace loomgraft::text_csv_test {
namespace {

TEST(Csv, QuotesCellsWithMarksAsRfc4180Says) {
  EXPECT_EQ(csv_line({"a", "b,c", "say \"x\"", "two\nlines", ""}),
            "a,\"b,c\",\"say \"\"x\"\"\",\"two\nlines\",\r\n");
}

TEST(Csv, PutsAnApostropheBeforeFormulas) {
  EXPECT_EQ(csv_line({"=1+2", "+12V", "@SUM(A1)", "-", "\tx"}), "'=1+2,'+12V,'@SUM(A1),'-,\"'\tx\"\r\n");
}

TEST(Csv, NumbersKeepTheirSign) {
  EXPECT_EQ(csv_line({"-0.5", "+3", "1e3"}), "-0.5,'+3,1e3\r\n");
}

TEST(Csv, ReadsBackWhatItWrites) {
  const std::vector<std::string> cells{"plain", "a,b", "two\nlines", "say \"so\"", "", "x;y"};
  EXPECT_EQ(read_csv(csv_line(cells) + csv_line({"next"})),
            (std::vector<std::vector<std::string>>{cells, {"next"}}));
}

TEST(Csv, ReadsEitherLineEndAndLeavesEmptyLinesOut) {
  using Rows = std::vector<std::vector<std::string>>;
  EXPECT_EQ(read_csv("a,b\r\n\r\n\nc"), (Rows{{"a", "b"}, {"c"}}));
  EXPECT_EQ(read_csv("a,\n,b\r"), (Rows{{"a", ""}, {"", "b"}}));
  EXPECT_TRUE(read_csv("").empty());
}

}  // namespace
}  // namespace loomgraft::text_csv_test
