#include "base/decimal.h"

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <system_error>
#include <version>

#include "base/ascii.h"

namespace loomgraft {
namespace {

// The largest double has 309 digits before the point.
constexpr std::size_t longest = 400;

struct Parsed {
  double value = 0.0;
  std::errc error{};
  bool whole = false;
};

#ifdef __cpp_lib_to_chars

std::string fixed(double value, int decimals) {
  std::array<char, longest> text;
  const auto end =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, decimals).ptr;
  return {text.data(), end};
}

std::string scientific(double value, int decimals) {
  std::array<char, longest> text;
  const auto end =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific, decimals)
          .ptr;
  return {text.data(), end};
}

std::string shortest(double value) {
  std::array<char, longest> text;
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value).ptr;
  return {text.data(), end};
}

Parsed parse(std::string_view text) {
  Parsed parsed;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), parsed.value);
  parsed.error = error;
  parsed.whole = end == text.data() + text.size();
  return parsed;
}

#else  // a library without them for double; its locale is "C"

std::string printed(const char* format, int decimals, double value) {
  std::array<char, longest> text;
  const int length = std::snprintf(text.data(), text.size(), format, decimals, value);
  return {text.data(), static_cast<std::size_t>(length)};
}

std::string fixed(double value, int decimals) {
  return printed("%.*f", decimals, value);
}

std::string scientific(double value, int decimals) {
  return printed("%.*e", decimals, value);
}

std::string shortest(double value) {
  std::string text;
  for (int digits = 1; digits <= std::numeric_limits<double>::max_digits10; ++digits) {
    text = printed("%.*g", digits, value);
    if (std::strtod(text.c_str(), nullptr) == value) break;
  }
  return text;
}

Parsed parse(std::string_view text) {
  Parsed parsed;
  const std::string_view digits = text.starts_with('-') ? text.substr(1) : text;
  if (digits.empty() || !(is_digit(digits.front()) || digits.front() == '.')) return parsed;
  const std::string copy(text);
  char* end = nullptr;
  parsed.value = std::strtod(copy.c_str(), &end);
  parsed.whole = end == copy.c_str() + copy.size() && digits.find_first_of("xX") == std::string_view::npos;
  if (std::isinf(parsed.value)) parsed.error = std::errc::result_out_of_range;
  return parsed;
}

#endif

// Of a number that no double holds: too large, or so near zero that none is left.
double beyond_range(std::string_view text) {
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  const std::size_t exponent = text.find_first_of("eE");
  const bool small = exponent == std::string_view::npos ? text.starts_with('0') || text.starts_with('.')
                                                        : text.substr(exponent + 1).starts_with('-');
  const double size = small ? 0.0 : std::numeric_limits<double>::infinity();
  return negative ? -size : size;
}

}  // namespace

std::optional<double> read_decimal(std::string_view text) {
  const Parsed parsed = parse(text);
  if (!parsed.whole) return std::nullopt;
  if (parsed.error == std::errc::result_out_of_range) return beyond_range(text);
  if (parsed.error != std::errc{}) return std::nullopt;
  return parsed.value;
}

std::string print_decimal(double value) {
  return shortest(value);
}

std::string print_fixed(double value, int decimals) {
  return fixed(value, decimals);
}

std::string print_rounded(double value, int decimals) {
  std::string text = print_fixed(value, decimals);
  if (text.find('.') == std::string::npos) return text == "-0" ? "0" : text;
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string print_scientific(double value, int decimals) {
  return scientific(value, decimals);
}

}  // namespace loomgraft
