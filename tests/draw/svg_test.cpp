#include "draw/svg.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <clocale>
#include <cmath>
#include <limits>

#include "draw/text_extent.h"
#include "draw/wire_paint.h"

namespace loomgraft::draw_svg_test {
namespace {

TEST(PrintNumber, HasAtMostThreeDecimalsAndNoTrailingZeros) {
  EXPECT_EQ(print_number(0.0), "0");
  EXPECT_EQ(print_number(-0.0001), "0");
  EXPECT_EQ(print_number(2.5), "2.5");
  EXPECT_EQ(print_number(100.0), "100");
  EXPECT_EQ(print_number(1.0 / 3.0), "0.333");
  EXPECT_EQ(print_number(-12.3456), "-12.346");
  EXPECT_EQ(print_number(std::nan("")), "0");
  EXPECT_EQ(print_number(std::numeric_limits<double>::infinity()), "0");
  EXPECT_EQ(print_number(1e300), "1000000000000");
}

TEST(PrintNumber, KeepsThePointInEveryLocale) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  for (const char* locale : {"de_DE.UTF-8", "fr_FR.UTF-8", "C"}) {
    std::setlocale(LC_ALL, locale);
    EXPECT_EQ(print_number(1.5), "1.5");
  }
  std::setlocale(LC_ALL, before.c_str());
}

TEST(EscapeXml, MarkupIsEscaped) {
  EXPECT_EQ(escape_xml("<img src='x' onerror=\"alert(1)\">&amp;"),
            "&lt;img src=&#39;x&#39; onerror=&quot;alert(1)&quot;&gt;&amp;amp;");
  EXPECT_EQ(escape_xml("]]><!--"), "]]&gt;&lt;!--");
}

TEST(EscapeXml, WhatXmlDoesNotAllowIsReplaced) {
  const std::string fffd = "\xEF\xBF\xBD";
  EXPECT_EQ(escape_xml(std::string("a\0b", 3)), "a" + fffd + "b");
  EXPECT_EQ(escape_xml("a\x1B[0m"), "a" + fffd + "[0m");
  EXPECT_EQ(escape_xml("\xC3\x28"), fffd + "(") << "broken sequence";
  EXPECT_EQ(escape_xml("\xED\xA0\x80"), fffd + fffd + fffd) << "surrogate";
  EXPECT_EQ(escape_xml("\xC0\xBC"), fffd + fffd) << "overlong <";
  EXPECT_EQ(escape_xml("\xE2\x80\xAE"), fffd) << "right-to-left override";
  EXPECT_EQ(escape_xml("\xEF\xBF\xBF"), fffd) << "U+FFFF";
  EXPECT_EQ(escape_xml("\xE2\x84\xA6 \xC2\xB5 \xF0\x9F\x94\x8C"), "\xE2\x84\xA6 \xC2\xB5 \xF0\x9F\x94\x8C");
  EXPECT_EQ(escape_xml("a\tb\nc"), "a b c");
}

TEST(EscapeXml, AnyBytesAreEscaped) {
  const bool held = rc::check("only named or numbered entities, no markup", [](const std::string& text) {
    const std::string escaped = escape_xml(text);
    for (const char c : {'<', '>', '"', '\''}) RC_ASSERT(escaped.find(c) == std::string::npos);
    for (std::size_t at = escaped.find('&'); at != std::string::npos; at = escaped.find('&', at + 1)) {
      const std::string entity = escaped.substr(at, escaped.find(';', at) - at + 1);
      RC_ASSERT(entity == "&amp;" || entity == "&lt;" || entity == "&gt;" || entity == "&quot;" ||
                entity == "&#39;");
    }
    RC_ASSERT(escape_xml(escaped).size() >= escaped.size());
  });
  EXPECT_TRUE(held);
}

// "VWWi" in DejaVu Sans, from the advance widths of the font: 684 + 988 + 988 + 277 thousandths.
TEST(TextExtent, AddsUpTheWidthsOfTheFont) {
  EXPECT_NEAR(text_width("VWWi", 10.0), 29.37, 1e-9);
  EXPECT_GT(text_width("Sensor", 1.0, true), text_width("Sensor", 1.0));
  EXPECT_NEAR(text_width("\xC3\xA9", 1.0), 1.0, 1e-9) << "one character, not two bytes";
}

TEST(TextExtent, WrappedAndElidedTextFits) {
  const bool held = rc::check("no line is wider, nothing is lost", [](const std::string& text) {
    const double width = *rc::gen::inRange(2, 30);
    std::string joined;
    for (const std::string& line : wrap(text, width, 1.0)) {
      joined += line;
      RC_ASSERT(text_width(line, 1.0) <= width + 1e-9);
    }
    const auto without_blanks = [](const std::string& from) {
      std::string kept;
      for (const char c : from) {
        if (c != ' ' && c != '\t' && c != '\n' && c != '\r') kept += c;
      }
      return kept;
    };
    RC_ASSERT(without_blanks(joined) == without_blanks(text));
    RC_ASSERT(text_width(elide(text, width, 1.0), 1.0) <= width + 1e-9);
  });
  EXPECT_TRUE(held);
  EXPECT_EQ(elide("short", 10.0, 1.0), "short");
  EXPECT_EQ(wrap("", 5.0, 1.0), std::vector<std::string>{""});
}

TEST(WirePaint, EveryColourHasItsInk) {
  for (const char* letters :
       {"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ", "SR", "GD", "GNYE"}) {
    EXPECT_TRUE(paint_of(letters).known) << letters;
  }
  EXPECT_FALSE(paint_of("").known);
  EXPECT_FALSE(paint_of("XX").known);
  EXPECT_FALSE(paint_of("GNYE").stripe.empty());
}

TEST(WirePaint, TextIsLightOnDarkAndDarkOnLight) {
  EXPECT_EQ(text_on("#000000"), "#ffffff");
  EXPECT_EQ(text_on("#ffffff"), "#000000");
  EXPECT_TRUE(paint_of("BK").dark);
  EXPECT_TRUE(paint_of("BN").dark);
  EXPECT_FALSE(paint_of("YE").dark);
  EXPECT_FALSE(paint_of("WH").dark);
}

TEST(WirePaint, LettersNameTheColour) {
  EXPECT_EQ(letters_of({"YE", "BU", "Y/L"}), "YE/BU");
  EXPECT_EQ(letters_of({"RD", "", "R"}), "RD");
  EXPECT_EQ(letters_of({"", "", "Y/?"}), "Y/?");
  EXPECT_EQ(letters_of({}), "?");
}

}  // namespace
}  // namespace loomgraft::draw_svg_test
