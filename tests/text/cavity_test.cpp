#include "text/cavity.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::text_cavity_test {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

std::vector<std::string> names(std::string_view cell, CavityStyle style = {}) {
  std::vector<std::string> result;
  for (const CavityName& name : read_cavities(cell, style).cavities) {
    result.push_back(name.connector.empty() ? name.cavity : name.connector + "|" + name.cavity);
  }
  return result;
}

TEST(Cavity, SingleNames) {
  EXPECT_THAT(names("12"), ElementsAre("12"));
  EXPECT_THAT(names("A1"), ElementsAre("A1"));
  EXPECT_THAT(names("1A"), ElementsAre("1A"));
  EXPECT_THAT(names("AA12"), ElementsAre("AA12"));
  EXPECT_THAT(names("K17b"), ElementsAre("K17b"));
  EXPECT_THAT(names("2i"), ElementsAre("2i"));
  EXPECT_THAT(names("4AB"), ElementsAre("4AB"));
}

TEST(Cavity, MarksAndWordsAroundTheName) {
  EXPECT_THAT(names("#12"), ElementsAre("12"));
  EXPECT_THAT(names("(12)"), ElementsAre("12"));
  EXPECT_THAT(names("pin 12."), ElementsAre("12"));
  EXPECT_THAT(names("Pin3"), ElementsAre("3"));
  EXPECT_THAT(names("**7**"), ElementsAre("7"));
  EXPECT_THAT(names("01"), ElementsAre("1"));
  EXPECT_THAT(names("A07"), ElementsAre("A7"));
  EXPECT_THAT(names("0"), ElementsAre("0"));
  EXPECT_THAT(names("1.0"), ElementsAre("1"));
  EXPECT_THAT(names("10.0"), ElementsAre("10"));
}

TEST(Cavity, NothingNamed) {
  for (const char* cell : {"", "  ", "-", "--", ".", "?", "Pin"}) EXPECT_THAT(names(cell), IsEmpty()) << cell;
}

TEST(Cavity, ConnectorAndCavity) {
  EXPECT_THAT(names("C101-12"), ElementsAre("C101|12"));
  EXPECT_THAT(names("C101/12"), ElementsAre("C101|12"));
  EXPECT_THAT(names("E10-1"), ElementsAre("E10|1"));
  EXPECT_THAT(names("4-1"), ElementsAre("4|1"));
  EXPECT_THAT(names("2-3", CavityStyle{true}), ElementsAre("2|3"));
  const std::vector<std::string_view> column{"1-1", "1-2", "2-1", "2-2"};
  EXPECT_TRUE(cavity_style(column).dash_is_connector);
  const std::vector<std::string_view> other{"1", "2-3", "4", "5"};
  EXPECT_FALSE(cavity_style(other).dash_is_connector);
}

TEST(Cavity, RangesAndLists) {
  EXPECT_THAT(names("A1-A4"), ElementsAre("A1", "A2", "A3", "A4"));
  EXPECT_THAT(names("2-3"), ElementsAre("2", "3"));
  EXPECT_THAT(names("1A-3A"), ElementsAre("1A", "2A", "3A"));
  EXPECT_THAT(names("7\xE2\x80\x93"
                    "9"),
              ElementsAre("7", "8", "9"));
  EXPECT_THAT(names("1, 20, 24, 26"), ElementsAre("1", "20", "24", "26"));
  EXPECT_THAT(names("Pins 9 & 10"), ElementsAre("9", "10"));
  EXPECT_THAT(names("Pin 9+10"), ElementsAre("9", "10"));
  EXPECT_THAT(names("11 and 12"), ElementsAre("11", "12"));
  EXPECT_THAT(names("1-3, 7"), ElementsAre("1", "2", "3", "7"));
}

TEST(Cavity, AmbiguousNamesStayWithADoubt) {
  for (const char* cell : {"3/13", "4S_4T", "16A17A", "A1-B4"}) {
    EXPECT_THAT(names(cell), ElementsAre(cell));
    EXPECT_THAT(read_cavities(cell).doubts, SizeIs(1)) << cell;
  }
}

TEST(Cavity, TextUnlikeACavityIsAName) {
  for (const char* cell :
       {"auxMain", "P30", "int_map", "int_etb+", "Aux PPS2", "On-board MAP", "AUX J6", "p18_p22"}) {
    EXPECT_THAT(names(cell), ElementsAre(cell));
  }
}

TEST(Cavity, BracketBehindIsANote) {
  const CavityReading reading = read_cavities("16 (GND)");
  EXPECT_THAT(names("16 (GND)"), ElementsAre("16"));
  EXPECT_EQ(reading.note, "GND");
}

TEST(Cavity, RangesAreBounded) {
  EXPECT_THAT(names("1-200"), SizeIs(200));
  EXPECT_THAT(names("1-9999"), ElementsAre("1-9999"));
  EXPECT_THAT(read_cavities("1-9999").doubts, SizeIs(1));
  EXPECT_LE(names("1-200, 1-200, 1-200").size(), 400U);
}

TEST(Cavity, LongCellsGiveADoubt) {
  EXPECT_THAT(names(std::string(10000, 'a')), IsEmpty());
  EXPECT_FALSE(read_cavities(std::string(10000, '1')).doubts.empty());
  std::string list;
  for (int i = 0; i < 3000; ++i) list += "7, ";
  EXPECT_LE(names(list).size(), 201U);
}

TEST(Cavity, FormsThatLookLikeCavities) {
  for (const char* cell : {"1", "A1", "17C", "Pin 9+10", "1-4", "C101-12", "3/13"}) {
    EXPECT_TRUE(looks_like_cavities(cell)) << cell;
  }
  for (const char* cell : {"", "GND", "GND throttle", "+12V In", "0 to 5 Volt", "max 1.5 Amp", "off"}) {
    EXPECT_FALSE(looks_like_cavities(cell)) << cell;
  }
}

TEST(Cavity, AnyTextIsReadAndCanonicalNamesStay) {
  rc::check("a name read once reads the same again", [](const std::string& text) {
    for (const CavityName& name : read_cavities(text).cavities) RC_ASSERT(!name.cavity.empty());
  });
  rc::check("letters and numbers", [] {
    const int number = *rc::gen::inRange(0, 9999);
    const char row = *rc::gen::inRange('A', 'Z');
    std::string name(1, row);
    name += std::to_string(number);
    RC_ASSERT(names(name) == std::vector<std::string>{name});
    RC_ASSERT(split_cavity(name).number == number);
  });
}

}  // namespace
}  // namespace loomgraft::text_cavity_test
