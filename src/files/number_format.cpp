#include "files/number_format.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

#include "base/ascii.h"

namespace loomgraft::files {
namespace {

constexpr double largest_date = 2'958'466;  // the day after 9999-12-31
constexpr std::size_t most_digits = 30;

// The texts of the built-in formats that differ from "General" (ECMA-376, part 1, 18.8.30).
std::string_view built_in(int id) {
  switch (id) {
    case 1:
    case 3:
    case 37:
    case 38:
      return "0";
    case 2:
    case 4:
    case 39:
    case 40:
      return "0.00";
    case 9:
      return "0%";
    case 10:
      return "0.00%";
    case 14:
    case 22:
      return "yyyy-mm-dd";
    case 15:
      return "d-mmm-yy";
    case 16:
      return "d-mmm";
    case 17:
      return "mmm-yy";
    case 18:
    case 19:
    case 20:
    case 21:
    case 45:
    case 46:
    case 47:
      return "h:mm";
    default:
      return "";
  }
}

// The first section: those for negative numbers and zero differ in marks and colours only.
std::string_view first_section(std::string_view code) {
  bool quoted = false;
  for (std::size_t i = 0; i < code.size(); ++i) {
    if (code[i] == '"') quoted = !quoted;
    if (code[i] == '\\')
      ++i;
    else if (code[i] == ';' && !quoted)
      return code.substr(0, i);
  }
  return code;
}

struct Format {
  std::string before, after;  // text around the number
  std::size_t whole = 0;      // least digits in front of the point
  std::size_t decimals = 0, optional_decimals = 0;
  bool number = false;  // has a place for digits
  bool percent = false;
  bool exponent = false;
  bool general = false;
  std::string date;  // its letters, lower case: "dmmm"
};

Format parse(std::string_view code) {
  Format format;
  bool behind_point = false;
  const auto literal = [&](char c) { (format.number ? format.after : format.before) += c; };
  code = first_section(code);
  if (lower(code.substr(0, 7)) == "general") {
    format.general = true;
    return format;
  }
  for (std::size_t i = 0; i < code.size(); ++i) {
    const char c = code[i];
    if (c == '"') {
      while (++i < code.size() && code[i] != '"') literal(code[i]);
    } else if (c == '\\') {
      if (++i < code.size()) literal(code[i]);
    } else if (c == '_' || c == '*') {
      ++i;
    } else if (c == '[') {
      const std::size_t close = std::min(code.find(']', i), code.size());
      const std::string inside = lower(code.substr(i + 1, close - i - 1));
      if (inside == "h" || inside == "hh" || inside == "m" || inside == "mm" || inside == "s" ||
          inside == "ss")
        format.date += inside[0];
      i = close;
    } else if (c == '0' || c == '#' || c == '?') {
      format.number = true;
      if (behind_point)
        ++(c == '0' ? format.decimals : format.optional_decimals);
      else if (c == '0')
        ++format.whole;
    } else if (c == '.' && format.number) {
      behind_point = true;
    } else if (c == '%') {
      format.percent = true;
    } else if ((c == 'E' || c == 'e') && format.number) {
      format.exponent = true;
    } else if (std::string_view("ymdhs").find(lower(c)) != std::string_view::npos) {
      format.date += lower(c);
    } else if (c != ',' && c != '@') {
      literal(c);
    }
  }
  return format;
}

std::string general(double value) {
  if (value == std::floor(value) && std::abs(value) < 1e15)
    return fmt::format("{:.0f}", value == 0.0 ? 0.0 : value);
  return fmt::format("{:.11g}", value);
}

std::string fixed(double value, const Format& format) {
  const std::size_t decimals = std::min(format.decimals + format.optional_decimals, most_digits);
  std::string digits = fmt::format("{:.{}f}", std::abs(value), decimals);
  for (std::size_t i = 0;
       i < format.optional_decimals && digits.back() == '0' && digits.find('.') != std::string::npos; ++i)
    digits.pop_back();
  if (digits.back() == '.') digits.pop_back();
  const std::size_t point = std::min(digits.find('.'), digits.size());
  const std::size_t whole = std::min(format.whole, most_digits);
  if (point < whole) digits.insert(0, whole - point, '0');
  return (value < 0 ? "-" : "") + digits;
}

constexpr std::array months = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                               "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

// Day 60 is 1900-02-29, which never was: a mistake that all spreadsheets keep for the sake of old files.
std::chrono::year_month_day date_of(double value, bool from_1904) {
  using namespace std::chrono;
  const auto whole = static_cast<int>(std::floor(value));
  if (from_1904) return sys_days{year{1904} / January / 1} + days{whole};
  return sys_days{year{1899} / December / (whole < 60 ? 31 : 30)} + days{whole};
}

ShownNumber show_date(double value, const Format& format, bool from_1904) {
  const auto date = date_of(value, from_1904);
  const int year = static_cast<int>(date.year());
  const unsigned month = static_cast<unsigned>(date.month());
  const unsigned day = static_cast<unsigned>(date.day());
  const auto has = [&](char c) { return format.date.find(c) != std::string::npos; };
  if (!has('y') && !has('d')) {
    const auto minutes = static_cast<long>(std::lround(value * 24 * 60));
    const long hours = format.date.starts_with('h') && value < 1 ? minutes / 60 % 24 : minutes / 60;
    return {fmt::format("{:02}:{:02}", hours, minutes % 60), false};
  }
  const char* name = months[(month + 11) % 12];
  if (!has('y')) return {fmt::format("{}-{}", day, name), true};
  if (!has('d')) return {fmt::format("{}-{:02}", name, year % 100), true};
  return {fmt::format("{:04}-{:02}-{:02}", year, month, day), false};
}

}  // namespace

ShownNumber show_number(double value, const NumberFormat& number_format, bool from_1904) {
  if (!std::isfinite(value)) return {};
  const std::string_view code = number_format.code.empty() ? built_in(number_format.id) : number_format.code;
  if (code.empty()) return {general(value), false};
  const Format format = parse(code);
  if (!format.date.empty() && !format.number && value >= 0 && value < largest_date)
    return show_date(value, format, from_1904);
  if (format.general || !format.number || format.exponent) return {general(value), false};
  std::string text = format.before + fixed(format.percent ? value * 100 : value, format);
  if (format.percent) text += '%';
  return {text + format.after, false};
}

}  // namespace loomgraft::files
