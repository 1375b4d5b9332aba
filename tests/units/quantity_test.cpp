#include "units/quantity.h"

#include <gtest/gtest.h>

#include <limits>
#include <type_traits>

#include "units/print.h"

namespace loomgraft::units_quantity_test {
namespace {

template <class A, class B>
concept addable = requires(A a, B b) {
  a + b;
};

// Ohm's law and the power law tie the kinds together; a wrong kind does not compile.
static_assert(Amperes{2.0} * milliohms(500) == Volts{1.0});
static_assert(Volts{12.0} * Amperes{2.0} == Watts{24.0});
static_assert(addable<Volts, Volts>);
static_assert(!addable<Volts, Amperes>);
static_assert(!addable<Celsius, Celsius>, "temperatures are points");
static_assert(std::is_same_v<decltype(Volts{1} / Ohms{1}), Amperes>);

TEST(Quantity, PrintsThreeDigitsWithAPrefix) {
  EXPECT_EQ(print(Volts{12.0}), "12 V");
  EXPECT_EQ(print(Amperes{0.0853}), "85.3 mA");
  EXPECT_EQ(print(Ohms{4700}), "4.7 kΩ");
  EXPECT_EQ(print(Ohms{999.96}), "1 kΩ");
  EXPECT_EQ(print(Volts{-0.25}), "-250 mV");
  EXPECT_EQ(print(Amperes{0}), "0 A");
  EXPECT_EQ(print(square_millimetres(0.75)), "0.75 mm²");
  EXPECT_EQ(print(Celsius{85}), "85 °C");
}

TEST(Quantity, PrintsResistancesBelowOneOhmInOhms) {
  EXPECT_EQ(print(Ohms{0.42}), "0.42 Ω");
  EXPECT_EQ(print(Ohms{0.00812}), "0.00812 Ω");
  EXPECT_EQ(print(Ohms{0.0999}), "0.0999 Ω");
  EXPECT_EQ(print(Ohms{0.9996}), "1 Ω");
  EXPECT_EQ(print(Ohms{-0.05}), "-0.05 Ω");
  EXPECT_EQ(print(Ohms{3e-7}), "0 Ω");
}

TEST(Quantity, PrintsWhatIsNoNumberAsText) {
  EXPECT_EQ(print(Ohms{std::numeric_limits<double>::infinity()}), "unlimited");
  EXPECT_EQ(print(Volts{std::numeric_limits<double>::quiet_NaN()}), "unknown");
}

}  // namespace
}  // namespace loomgraft::units_quantity_test
