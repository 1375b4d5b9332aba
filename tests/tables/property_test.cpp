// A table of any cells, written in one of the forms, is read back cell by cell with its places.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_property_test {
namespace {

using Text = std::vector<std::string>;

rc::Gen<std::string> word() {
  return rc::gen::map(rc::gen::tuple(rc::gen::inRange(1, 9), rc::gen::arbitrary<std::vector<unsigned>>()),
                      [](const std::tuple<int, std::vector<unsigned>>& seed) {
                        constexpr std::string_view letters = "GNDVABCkwxyzÄ";
                        std::string out = "S";
                        for (const unsigned value : std::get<1>(seed)) {
                          if (out.size() > 10) break;
                          out.push_back(letters[value % 12]);
                        }
                        return out + (std::get<0>(seed) > 6 ? "µ" : "");
                      });
}

struct Sample {
  std::vector<Text> rows;
};

Sample any_sample() {
  const int count = *rc::gen::inRange(2, 30);
  Sample sample;
  for (int i = 0; i < count; ++i) sample.rows.push_back({std::to_string(i + 1), *word(), *word()});
  return sample;
}

void expect_rows(const TableText& found, const Sample& sample) {
  RC_ASSERT(found.tables.size() == 1u);
  const Table& table = found.tables[0];
  RC_ASSERT(table.rows.size() == sample.rows.size());
  for (std::size_t i = 0; i < sample.rows.size(); ++i) {
    RC_ASSERT(table.rows[i].size() == sample.rows[i].size());
    for (std::size_t k = 0; k < sample.rows[i].size(); ++k)
      RC_ASSERT(table.rows[i][k].text == sample.rows[i][k]);
  }
}

TEST(TableProperty, DelimitedReadsBack) {
  rc::check("delimited", [] {
    const Sample sample = any_sample();
    const std::string delimiter = *rc::gen::element(std::string(","), std::string(";"), std::string("\t"));
    const std::string end = *rc::gen::element(std::string("\n"), std::string("\r\n"), std::string("\r"));
    const bool quoted = *rc::gen::arbitrary<bool>();
    std::string text = "Pin" + delimiter + "Signal" + delimiter + "Colour" + end;
    const std::string mark = quoted ? "\"" : "";
    for (const Text& row : sample.rows)
      text.append(row[0])
          .append(delimiter)
          .append(mark)
          .append(row[1])
          .append(mark)
          .append(delimiter)
          .append(row[2])
          .append(end);
    const TableText found = find_tables(text, "a.txt");
    expect_rows(found, sample);
    for (std::size_t i = 0; i < sample.rows.size(); ++i) {
      const Cell& cell = found.tables[0].rows[i][1];
      RC_ASSERT(cell.line == static_cast<int>(i) + 2);
      RC_ASSERT(cell.column == static_cast<int>(sample.rows[i][0].size()) + 2 + (quoted ? 1 : 0));
    }
  });
}

TEST(TableProperty, MarkdownReadsBack) {
  rc::check("markdown", [] {
    const Sample sample = any_sample();
    const bool outer = *rc::gen::arbitrary<bool>();
    const auto line = [&](const std::string& a, const std::string& b, const std::string& c) {
      return outer ? "| " + a + " | " + b + " | " + c + " |\n" : a + " | " + b + " | " + c + "\n";
    };
    std::string text = line("Pin", "Signal", "Colour") + line("---", "---", "---");
    for (const Text& row : sample.rows) text += line(row[0], row[1], row[2]);
    expect_rows(find_tables(text, "a.md"), sample);
  });
}

TEST(TableProperty, AlignedReadsBack) {
  rc::check("aligned", [] {
    const Sample sample = any_sample();
    const bool ruled = *rc::gen::arbitrary<bool>();
    const auto pad = [](std::string text, std::size_t width) {
      const bool wide = text.find("\xC2\xB5") != std::string::npos;  // one character, two bytes
      text.resize(width + (wide ? 1 : 0), ' ');
      return text;
    };
    std::string text = pad("Pin", 6) + pad("Signal", 18) + "Colour\n";
    if (ruled) text += pad("----", 6) + pad("----------------", 18) + "------\n";
    for (const Text& row : sample.rows) text += pad(row[0], 6) + pad(row[1], 18) + row[2] + "\n";
    expect_rows(find_tables(text, "a.txt"), sample);
  });
}

TEST(TableProperty, AnyBytesAreRead) {
  rc::check("any bytes", [](const std::string& bytes) {
    const TableText found = find_tables(bytes, "a.txt");
    RC_ASSERT(!found.tables.empty() || !found.problems.empty());
  });
}

TEST(TableProperty, SameBytesSameTables) {
  rc::check("same again", [] {
    const Sample sample = any_sample();
    std::string text;
    for (const Text& row : sample.rows) text += row[0] + " - " + row[1] + " " + row[2] + "\n";
    const TableText once = find_tables(text, "a.txt");
    const TableText again = find_tables(text, "a.txt");
    RC_ASSERT(once.tables.size() == 1u);
    RC_ASSERT(loomgraft::testing::print_table(once.tables[0]) ==
              loomgraft::testing::print_table(again.tables.at(0)));
    RC_ASSERT(once.tables[0].rows.size() == sample.rows.size());
  });
}

}  // namespace
}  // namespace loomgraft::tables_property_test
