// Input made to hurt: every case must end soon, keep what it read, and say what it left.
#include <gtest/gtest.h>

#include <ctime>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_limits_test {
namespace {

using namespace loomgraft::testing;

std::string repeat(std::string_view piece, std::size_t times, std::string_view before = {}) {
  std::string out(before);
  for (std::size_t i = 0; i < times; ++i) out += piece;
  return out;
}

// Of processor time, so that other work on the machine does not count. Generous: ten to a hundred times what is needed,
// far below what anything worse than linear would take; the address sanitizer slows it down tenfold.
#ifdef __SANITIZE_ADDRESS__
constexpr double most_seconds = 40.0;
#else
constexpr double most_seconds = 8.0;
#endif

TableText read_soon(const std::string& text, const std::string& file = "a.txt") {
  const std::clock_t start = std::clock();
  TableText found = find_tables(text, file);
  EXPECT_LT(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC, most_seconds) << text.substr(0, 40);
  return found;
}

TEST(TableLimits, LongLines) {
  read_soon(repeat("a", 10'000'000));
  read_soon(repeat("a b  c ", 1'000'000));
  read_soon(repeat("|", 1'000'000) + "\n" + repeat("|", 1'000'000));
  read_soon(repeat("\t", 3'000'000));
  read_soon(repeat("*", 500'000, "|") + "|\n|--|\n|" + repeat("[](", 500'000) + "|");
}

TEST(TableLimits, Quotes) {
  const TableText found = read_soon(repeat("1,\"x\n", 100'000, "Pin,Signal\n"));
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].rows.size(), 100'000u);
  EXPECT_EQ(found.problems.size(), 1'000u);
}

TEST(TableLimits, Nesting) {
  read_soon(repeat("<table><tr><td>", 100'000));
  read_soon(repeat("<table><tr><td>1</td><td>2</td></tr></table>", 50'000));
  read_soon(repeat("[", 100'000), "a.json");
  read_soon(repeat("[{\"a\":", 100'000), "a.json");
  read_soon(repeat("- ", 100'000), "a.yaml");
  read_soon(repeat("[", 100'000, "- a: "), "a.yaml");
  read_soon(repeat("k: [\n", 50'000), "a.yaml");
  std::string deep;
  for (std::size_t i = 0; i < 2'000; ++i) deep.append(i, ' ').append("- a:\n");
  read_soon(deep, "a.yaml");
}

TEST(TableLimits, AliasesAreNotMultiplied) {
  std::string text = "- pin: 1\n  a: &a [x,x,x,x,x,x,x,x,x]\n";
  for (int i = 0; i < 20; ++i) {
    const std::string number = std::to_string(i);
    text.append("  b").append(number).append(": &b").append(number).append(" [*a,*a,*a,*a,*a,*a,*a,*a,*a]\n");
  }
  read_soon(text, "a.yaml");
}

TEST(TableLimits, RecordsOnOneLine) {
  std::string text = "[";
  for (int i = 0; i < 100'000; ++i) text.append("{\"pin\":").append(std::to_string(i)).append("},");
  const TableText found = read_soon(text + "]", "a.json");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].rows.size(), 100'000u);
}

TEST(TableLimits, CellTooLong) {
  const TableText found = read_soon(repeat("ä", 10'001, "Pin,Signal\n1,") + "\n2,x\n");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].rows[0][1].text, repeat("ä", 10'000));
  EXPECT_EQ(codes(found.problems), "cell-too-long@2:3");
}

TEST(TableLimits, FileTooLarge) {
  const TableText found = read_soon(
      repeat("12,Coolant temperature sensor with a long name of its own\n", 1'300'000, "Pin,Signal\n"));
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_GT(found.tables[0].rows.size(), 190'000u);
  EXPECT_EQ(found.problems.at(0).code, "too-large");
}

TEST(TableLimits, EmptyAndBinaryInput) {
  EXPECT_EQ(codes(find_tables("", "a").problems), "empty-input@0:0");
  EXPECT_EQ(codes(find_tables(" \n\t\r\n", "a").problems), "empty-input@0:0");
  EXPECT_EQ(codes(find_tables(std::string_view("\x7f"
                                               "ELF\0\0\0\1\2\3\0\0\0\0",
                                               14),
                              "a")
                      .problems),
            "binary-input@0:0");
}

}  // namespace
}  // namespace loomgraft::tables_limits_test
