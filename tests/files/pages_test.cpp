// Tables on pages, drawn as text: each character is six points wide, each line fourteen high.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "files/page_text.h"

namespace loomgraft::files_test {
namespace {

using files::Page;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr double character = 6, font = 10, pitch = 14;
constexpr double blank_less = 3;  // the blank between words is narrower than the letters

void draw(Page& page, double top, const std::string& line, double height = font) {
  for (std::size_t at = line.find_first_not_of(' '); at != std::string::npos;) {
    const std::size_t end = std::min(line.find(' ', at), line.size());
    page.words.push_back({50 + character * static_cast<double>(at), top,
                          50 + character * static_cast<double>(end) + blank_less, top + height,
                          line.substr(at, end - at)});
    at = line.find_first_not_of(' ', end);
  }
}

Page page_of(int number, const std::vector<std::string>& lines) {
  Page page{number, {}};
  double top = 50;
  for (const std::string& line : lines) {
    draw(page, top, line);
    top += pitch;
  }
  return page;
}

std::string text_of(const std::vector<Page>& pages) {
  files::PlacedText text(files::PartKind::page);
  EXPECT_TRUE(files::add_pages(text, pages));
  return text.text();
}

TEST(PageTables, ColumnsByTheirPlace) {
  const std::string text = text_of(
      {page_of(1, {"Connector X2", "", "Pin   Function            Colour", "1     Battery supply      RD/WH",
                   "2     Earth               BN", "10    CAN high            YE"})});
  EXPECT_THAT(text, HasSubstr("Connector X2\n"));
  EXPECT_THAT(text,
              HasSubstr("Pin\tFunction\tColour\n1\tBattery supply\tRD/WH\n2\tEarth\tBN\n10\tCAN high\tYE\n"));
}

TEST(PageTables, ACellOverSeveralLinesIsOne) {
  const std::string text =
      text_of({page_of(1, {"Pin   Function            Note", "1     Battery supply      fused with",
                           "                          10 A", "2     Earth of all        none",
                           "      the sensors", "3     Lamp                none"})});
  EXPECT_THAT(
      text,
      HasSubstr("1\tBattery supply\tfused with 10 A\n2\tEarth of all the sensors\tnone\n3\tLamp\tnone\n"));
}

TEST(PageTables, ACavityInTheMiddleOfItsRow) {
  Page page{1, {}};
  draw(page, 50, "Pin   Function            Note");
  draw(page, 80, "      Battery supply,");
  draw(page, 87.5, "1                         fused");
  draw(page, 95, "      switched");
  draw(page, 125, "      Earth of all");
  draw(page, 132.5, "2                         none");
  draw(page, 140, "      the sensors");
  EXPECT_THAT(text_of({page}),
              HasSubstr("1\tBattery supply, switched\tfused\n2\tEarth of all the sensors\tnone\n"));
}

TEST(PageTables, AnEmptyCellStaysEmpty) {
  const std::string text =
      text_of({page_of(1, {"Pin   Function            Colour    Note", "1     Earth               BN",
                           "2     Supply                        fused", "3                         GN",
                           "4     Lamp                BU"})});
  EXPECT_THAT(text, HasSubstr("1\tEarth\tBN\t\n2\tSupply\t\tfused\n3\t\tGN\t\n4\tLamp\tBU\t\n"));
}

TEST(PageTables, GoOnOverThePageWithTheirHeadOnce) {
  const std::vector<std::string> head = {"Connector X2", "Pin   Function            Colour"};
  const std::string text =
      text_of({page_of(1, {head[0], head[1], "1     Earth               BN", "2     Supply              RD"}),
               page_of(2, {"Connector X2 (continued)", head[1], "3     Lamp                BU",
                           "4     Relay               GN"}),
               page_of(3, {"5     CAN high            YE", "6     CAN low             GN", "", "",
                           "The end of it."})});
  EXPECT_THAT(text, HasSubstr("Pin\tFunction\tColour\n1\tEarth\tBN\n2\tSupply\tRD\n3\tLamp\tBU\n4\tRelay\tGN"
                              "\n5\tCAN high\tYE\n6\tCAN low\tGN\n"));
  EXPECT_THAT(text, Not(HasSubstr("continued")));
  EXPECT_THAT(text, HasSubstr("\n\nThe end of it.\n"));
}

TEST(PageTables, AnotherPlugOnTheNextPageIsAnotherTable) {
  const std::string head = "Pin   Function            Colour";
  const std::string text = text_of(
      {page_of(1, {"Connector X2", head, "1     Earth               BN", "2     Supply              RD"}),
       page_of(2, {"Connector X3", head, "1     Lamp                BU", "2     Relay               GN"})});
  EXPECT_THAT(text, HasSubstr("2\tSupply\tRD\n\nConnector X3\nPin\tFunction\tColour\n1\tLamp"));
}

TEST(PageTables, RunningHeadsAndPageNumbersAreNoPartOfThem) {
  std::vector<Page> pages;
  for (int number = 1; number <= 3; ++number) {
    Page page{number, {}};
    draw(page, 20, "Workshop manual");
    draw(page, 800, "Page " + std::to_string(number) + " of 3");
    if (number == 1) draw(page, 60, "Pin   Function            Colour");
    for (int row = 0; row < 4; ++row)
      draw(page, 74 + pitch * row, std::to_string(number * 4 + row - 3) + "     Signal              BN");
    pages.push_back(page);
  }
  const std::string text = text_of(pages);
  EXPECT_THAT(text, HasSubstr("4\tSignal\tBN\n5\tSignal\tBN\n"));
  EXPECT_THAT(text, HasSubstr("8\tSignal\tBN\n9\tSignal\tBN\n"));
  EXPECT_EQ(text.find("Workshop manual"), text.rfind("Workshop manual"));
  EXPECT_THAT(text, Not(HasSubstr("Page")));
}

TEST(PageTables, SentencesAreNone) {
  const std::vector<std::string> lines(
      6, "Disconnect the battery before any plug  is opened and measure the wires");
  EXPECT_THAT(text_of({page_of(1, lines)}), Not(HasSubstr("\t")));
  const std::vector<std::string> two(
      8, "The plug is held by a slide which      the lever on the other side of it");
  EXPECT_THAT(text_of({page_of(1, two)}), Not(HasSubstr("\t")));
}

TEST(PageTables, ALargerLineIsAHeading) {
  Page page = page_of(1, {"", "", "Pin   Function", "1     Earth", "2     Supply", "3     Lamp"});
  draw(page, 50, "4.1 Connector X2", 16);
  EXPECT_THAT(text_of({page}), ::testing::StartsWith("# Connector X2\n\nPin\tFunction\n"));
}

TEST(PageWords, OfTheProgramThatReadsPdf) {
  const auto pages = files::pages_of_bbox(
      "<doc><page width=\"9\"><word xMin=\"1.5\" yMin=\"2\" xMax=\"3\" yMax=\"4\">a&amp;&lt;b</word>"
      "<word xMin=\"3\" yMin=\"nan\" xMax=\"1\" yMax=\"4\">no</word></page><page width=\"9\"></page></doc>");
  ASSERT_EQ(pages.size(), 2U);
  ASSERT_EQ(pages[0].words.size(), 1U);
  EXPECT_EQ(pages[0].words[0].text, "a&<b");
  EXPECT_EQ(pages[0].words[0].left, 1.5);
}

}  // namespace
}  // namespace loomgraft::files_test
