#include "text/colour.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::text_colour_test {
namespace {

// Small made-up notations: what is tested here is the choice, not the published codes (see tests/standards).
const std::vector<ColourNotation>& notations() {
  static const std::vector<ColourNotation> list{
      {"two letters",
       {{"BK", "BK"}, {"BU", "BU"}, {"RD", "RD"}, {"YE", "YE"}, {"GN", "GN"}, {"GNYE", "GNYE"}}},
      {"letters with L",
       {{"B", "BK"},
        {"L", "BU"},
        {"R", "RD"},
        {"G", "GN"},
        {"GR", "GY"},
        {"W", "WH"},
        {"Y", "YE"},
        {"SB", "BU"}}},
      {"letters with K", {{"K", "BK"}, {"B", "BU"}, {"R", "RD"}, {"G", "GN"}, {"W", "WH"}, {"Y", "YE"}}},
      {"words one",
       {{"black", "BK"}, {"red", "RD"}, {"white", "WH"}, {"blue", "BU"}, {"green", "GN"}, {"natural", ""}},
       true}};
  return list;
}

ColourReading read(const std::vector<std::string_view>& raw) {
  return read_colours(raw, notations());
}

TEST(Colour, OtherColoursDecideAnAmbiguousCode) {
  const ColourReading with_l = read({"B", "L", "R"});
  EXPECT_EQ(with_l.notation, "letters with L");
  EXPECT_EQ(with_l.colours[0].base, "BK");
  EXPECT_FALSE(with_l.alternative.has_value());
  EXPECT_TRUE(with_l.doubts[0].empty());
  const ColourReading with_k = read({"B", "K", "R"});
  EXPECT_EQ(with_k.notation, "letters with K");
  EXPECT_EQ(with_k.colours[0].base, "BU");
}

TEST(Colour, SecondNotationIsADoubtWhereItReadsOtherwise) {
  const ColourReading reading = read({"B", "R", "W"});
  ASSERT_TRUE(reading.alternative.has_value());
  EXPECT_EQ(*reading.alternative, "letters with K");
  EXPECT_EQ(reading.doubts[0].size(), 1U);  // B is black or blue
  EXPECT_TRUE(reading.doubts[1].empty());   // R is red under both
}

TEST(Colour, Tracers) {
  const ColourReading reading = read({"G/Y", "L", "G-Y", "W/G"});
  EXPECT_EQ(reading.colours[0], (Colour{"GN", "YE", "G/Y"}));
  EXPECT_EQ(reading.colours[2], (Colour{"GN", "YE", "G-Y"}));
  const ColourReading joined = read({"BKYE", "GNYE", "BuRd", "rd/ye 0,75", "0.5 bk/ye"});
  EXPECT_EQ(joined.colours[0], (Colour{"BK", "YE", "BKYE"}));
  EXPECT_EQ(joined.colours[1], (Colour{"GNYE", "", "GNYE"}));
  EXPECT_EQ(joined.colours[2], (Colour{"BU", "RD", "BuRd"}));
  EXPECT_EQ(joined.colours[3], (Colour{"RD", "YE", "rd/ye 0,75"}));
  EXPECT_EQ(joined.colours[4], (Colour{"BK", "YE", "0.5 bk/ye"}));
  const ColourReading stripe = read({"L w/ Red stripe", "White/Blue", "White with Blue tracer"});
  EXPECT_EQ(stripe.colours[0], (Colour{"BU", "RD", "L w/ Red stripe"}));
  EXPECT_EQ(stripe.colours[1], (Colour{"WH", "BU", "White/Blue"}));
  EXPECT_EQ(stripe.colours[2], (Colour{"WH", "BU", "White with Blue tracer"}));
  for (const auto& doubts : stripe.doubts) EXPECT_TRUE(doubts.empty());
}

TEST(Colour, NotesAndGuessesLeaveADoubt) {
  const ColourReading reading = read(
      {"red, short wire", "white or red", "[Black]", "[?]", "light green right", "black (thin)", "natural"});
  EXPECT_EQ(reading.notation, "words");
  EXPECT_EQ(reading.colours[0].base, "RD");
  EXPECT_EQ(reading.colours[1].base, "");
  EXPECT_EQ(reading.colours[2].base, "BK");
  EXPECT_EQ(reading.colours[3].base, "");
  EXPECT_EQ(reading.colours[4].base, "GN");
  EXPECT_EQ(reading.colours[5].base, "BK");
  EXPECT_EQ(reading.colours[6].base, "");
  for (const auto& doubts : reading.doubts) EXPECT_FALSE(doubts.empty());
}

TEST(Colour, UnknownStaysRawWithADoubt) {
  const ColourReading reading = read({"L", "QX", "G/QX", ""});
  EXPECT_FALSE(reading.colours[1].known());
  EXPECT_EQ(print(reading.colours[1]), "QX");
  EXPECT_FALSE(reading.doubts[1].empty());
  EXPECT_EQ(print(reading.colours[2]), "GN");
  EXPECT_FALSE(reading.doubts[2].empty());
  EXPECT_TRUE(reading.doubts[3].empty());  // an empty cell is no news
}

TEST(Colour, AnyTextGivesOneReadingEach) {
  rc::check("one colour and one list of doubts for each text", [](const std::vector<std::string>& texts) {
    const std::vector<std::string_view> raw(texts.begin(), texts.end());
    const ColourReading reading = read(raw);
    RC_ASSERT(reading.colours.size() == raw.size());
    RC_ASSERT(reading.doubts.size() == raw.size());
    for (std::size_t i = 0; i < raw.size(); ++i) RC_ASSERT(reading.colours[i].raw == raw[i]);
  });
  const std::string long_text(10000, 'G');
  const std::string long_list = [] {
    std::string text;
    for (int i = 0; i < 3000; ++i) text += "G/Y ";
    return text;
  }();
  const ColourReading reading = read({long_text, long_list, std::string_view("L")});
  EXPECT_FALSE(reading.doubts[0].empty());
  EXPECT_FALSE(reading.doubts[1].empty());
}

}  // namespace
}  // namespace loomgraft::text_colour_test
