#include "text/number.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <array>
#include <cstdio>

namespace loomgraft::text_number_test {
namespace {

struct Case {
  const char* text;
  double value;
  const char* unit;
  bool ambiguous = false;
};

TEST(Number, ReadsCommonNotations) {
  for (const Case& c : {Case{"12", 12, ""},
                        {"-40 °C", -40, "°C"},
                        {"74,50%", 74.5, "%"},
                        {"1.234,5", 1234.5, ""},
                        {"1,234.5", 1234.5, ""},
                        {"1'000", 1000, ""},
                        {"1 000 000", 1e6, ""},
                        {"1\xC2\xA0"
                         "000,5",
                         1000.5, ""},
                        {"100kPa", 100, "kPa"},
                        {"+12V", 12, "V"},
                        {".5", 0.5, ""},
                        {",5 mm", 0.5, "mm"},
                        {"1,51336E+12", 1.51336e12, ""},
                        {"2e-3 A", 2e-3, "A"},
                        {"5 EUR", 5, "EUR"},
                        {"\xE2\x88\x92"
                         "7",
                         -7, ""},
                        {"0,750", 0.75, ""},
                        {"1,234", 1.234, "", true},
                        {"12 3", 12, "3"},
                        {"5.", 5, ""},
                        {"1.234.567", 1234567, ""},
                        {"18–30V", 18, "–30V"}}) {
    const auto number = read_number(c.text);
    ASSERT_TRUE(number) << c.text;
    EXPECT_DOUBLE_EQ(number->value, c.value) << c.text;
    EXPECT_EQ(number->unit, c.unit) << c.text;
    EXPECT_EQ(number->ambiguous, c.ambiguous) << c.text;
  }
}

TEST(Number, RefusesTextThatIsNoNumber) {
  for (const char* text : {"", " ", "-", "GND", "V12", "1,2,3", "1.2.3", "1,23.456,7"})
    EXPECT_FALSE(read_number(text)) << text;
}

TEST(Number, PrintedNumbersReadBack) {
  rc::check("read back", [](int whole, unsigned fraction) {
    char text[64];
    std::snprintf(text, sizeof text, "%d,%02u V", whole % 1000000, fraction % 100);
    const auto number = read_number(text);
    RC_ASSERT(number.has_value());
    const double expected = (std::abs(whole % 1000000) + fraction % 100 / 100.0) * (text[0] == '-' ? -1 : 1);
    RC_ASSERT(std::abs(number->value - expected) < 1e-9);
    RC_ASSERT(number->unit == "V");
  });
}

}  // namespace
}  // namespace loomgraft::text_number_test
