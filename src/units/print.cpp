#include "units/print.h"

#include <array>
#include <charconv>
#include <cmath>

namespace loomgraft {
namespace {

struct Prefix {
  double factor;
  const char* letter;
};
constexpr std::array<Prefix, 6> prefixes{
    {{1e6, "M"}, {1e3, "k"}, {1.0, ""}, {1e-3, "m"}, {1e-6, "u"}, {1e-9, "n"}}};

std::string three_digits(double value) {
  std::array<char, 32> text{};
  // Plain notation below a thousand, so that no exponent appears after prefixing.
  const double size = std::abs(value);
  const int decimals = size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2;
  const auto end =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, decimals).ptr;
  std::string result(text.data(), end);
  if (result.find('.') == std::string::npos) return result;
  while (result.back() == '0') result.pop_back();
  if (result.back() == '.') result.pop_back();
  return result == "-0" ? "0" : result;
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

}  // namespace

std::string print(Amperes value) {
  return with_prefix(value.si, "A");
}
std::string print(Volts value) {
  return with_prefix(value.si, "V");
}
std::string print(Ohms value) {
  return with_prefix(value.si, "ohm");
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
  return with_prefix(value.si, "m");
}
std::string print(SquareMetres value) {
  return three_digits(in_square_millimetres(value)) + " mm2";
}
std::string print(Celsius value) {
  return three_digits(value.degrees) + " C";
}

}  // namespace loomgraft
