#include "units/print.h"

#include <array>
#include <cmath>

#include "base/decimal.h"

namespace loomgraft {
namespace {

struct Prefix {
  double factor;
  const char* letter;
};
constexpr std::array<Prefix, 6> prefixes{
    {{1e6, "M"}, {1e3, "k"}, {1.0, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}}};

// Plain notation below a thousand, so that no exponent appears after prefixing.
std::string three_digits(double value) {
  const double size = std::abs(value);
  return print_rounded(value, size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2);
}

std::string with_prefix(double value, const char* unit) {
  if (std::isnan(value)) return "unknown";
  if (std::isinf(value)) return "unlimited";
  const double size = std::abs(value);
  if (size < 1e-9) return std::string("0 ") + unit;
  for (const Prefix& prefix : prefixes) {
    if (size < prefix.factor * 0.9995 && prefix.factor > 1e-9) continue;
    return three_digits(value / prefix.factor) + " " + prefix.letter + unit;
  }
  return std::string("0 ") + unit;
}

bool is_below_one(double value) {
  return std::abs(value) < 0.9995;
}

// Three significant digits of what is below one: "0.63 mm"; nothing smaller than a millionth.
std::string without_prefix(double value, const char* unit) {
  int decimals = 3;
  for (double first = 0.09995; decimals < 6 && std::abs(value) < first; first /= 10.0) ++decimals;
  return print_rounded(value, decimals) + " " + unit;
}

}  // namespace

std::string print(Amperes value) {
  return with_prefix(value.si, "A");
}
std::string print(Volts value) {
  return with_prefix(value.si, "V");
}
std::string print(Ohms value) {
  return is_below_one(value.si) ? without_prefix(value.si, "Ω") : with_prefix(value.si, "Ω");
}
std::string print(Watts value) {
  return with_prefix(value.si, "W");
}
std::string print(Joules value) {
  return with_prefix(value.si, "J");
}
std::string print(Seconds value) {
  return with_prefix(value.si, "s");
}
std::string print(Metres value) {
  if (is_below_one(in_millimetres(value))) return without_prefix(in_millimetres(value), "mm");
  return with_prefix(value.si, "m");
}
std::string print(SquareMetres value) {
  return three_digits(in_square_millimetres(value)) + " mm²";
}
std::string print(Celsius value) {
  return three_digits(value.degrees) + " °C";
}

std::string_view unit_sign(std::string_view unit) {
  constexpr std::array<std::array<std::string_view, 2>, 7> signs{{{"ohm", "Ω"},
                                                                  {"kohm", "kΩ"},
                                                                  {"Mohm", "MΩ"},
                                                                  {"mm2", "mm²"},
                                                                  {"C", "°C"},
                                                                  {"uA", "µA"},
                                                                  {"uV", "µV"}}};
  for (const auto& [ascii, sign] : signs)
    if (ascii == unit) return sign;
  return unit;
}

}  // namespace loomgraft
