// First the whole text against the words for over range, then number, prefix and unit from left to right.
#include "find/entered_reading.h"

#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "find/practice.h"
#include "prove/meter.h"
#include "standards/named_figures.h"
#include "text/number.h"

namespace loomgraft {
namespace {

using Failed = tl::unexpected<ReadingError>;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Without blanks; signs that are written in several ways in one of them.
std::string plain(std::string_view text) {
  static constexpr std::pair<std::string_view, std::string_view> spellings[] = {
      {"\u03A9", "ohm"}, {"\u2126", "ohm"}, {"\u00B5", "u"}, {"\u03BC", "u"}, {"\u2212", "-"},
      {"\u221E", "inf"}, {"\u00A0", ""},    {"\u202F", ""},  {" ", ""},       {"\t", ""}};
  std::string made;
  while (!text.empty()) {
    std::size_t taken = 1;
    std::string_view written = text.substr(0, 1);
    for (const auto& [spelling, replacement] : spellings) {
      if (!text.starts_with(spelling)) continue;
      taken = spelling.size();
      written = replacement;
    }
    made += written;
    text.remove_prefix(taken);
  }
  return made;
}

std::string lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

bool says_over_range(const std::string& text) {
  constexpr std::string_view words[] = {"ol",   "o.l",       "o.l.",     "0l",  "0.l", ".ol",
                                        "over", "overrange", "overload", "inf", "open"};
  const std::string small = lower(text);
  for (const std::string_view word : words) {
    if (small == word || small == std::string(word) + "ohm") return true;
  }
  return false;
}

// "ohm" for "Ohms" and "R", "V" for "volts"; empty for no unit; none for letters that are no unit.
std::optional<std::string_view> unit_named(std::string name) {
  name = lower(std::move(name));
  if (name.ends_with("dc")) name.resize(name.size() - 2);
  constexpr std::pair<std::string_view, std::string_view> names[] = {
      {"", ""},       {"ohm", "ohm"}, {"ohms", "ohm"}, {"r", "ohm"},  {"v", "V"},      {"volt", "V"},
      {"volts", "V"}, {"a", "A"},     {"amp", "A"},    {"amps", "A"}, {"ampere", "A"}, {"amperes", "A"}};
  for (const auto& [written, unit] : names) {
    if (name == written) return unit;
  }
  return std::nullopt;
}

struct Scaled {
  double factor = 1.0;
  std::string_view unit;
};

// "kohm", "mV", "M", "". Only the case tells milli from mega.
std::optional<Scaled> scaled_unit(const std::string& letters) {
  if (const auto unit = unit_named(letters)) return Scaled{1.0, *unit};
  constexpr std::pair<char, double> prefixes[] = {
      {'k', 1e3}, {'K', 1e3}, {'M', 1e6}, {'m', 1e-3}, {'u', 1e-6}};
  for (const auto& [prefix, factor] : prefixes) {
    if (letters[0] != prefix) continue;
    if (const auto unit = unit_named(letters.substr(1))) return Scaled{factor, *unit};
  }
  return std::nullopt;
}

struct Written {
  std::string number;   // with a decimal point
  std::string letters;  // prefix and unit
};

std::size_t digits_from(const std::string& text, std::size_t at) {
  while (at < text.size() && is_digit(text[at])) ++at;
  return at;
}

// "4R7", "1k2", "12V4": the letter stands where the point would be.
std::optional<Written> with_letter_as_point(const std::string& text) {
  const std::size_t start = !text.empty() && (text[0] == '-' || text[0] == '+') ? 1 : 0;
  const std::size_t letter = digits_from(text, start);
  if (letter == start || letter + 1 >= text.size() || !is_digit(text[letter + 1])) return std::nullopt;
  if (std::string_view("RkKMmVA").find(text[letter]) == std::string_view::npos) return std::nullopt;
  const std::size_t end = digits_from(text, letter + 1);
  return Written{text.substr(start == 1 && text[0] == '+' ? 1 : 0, letter - (text[0] == '+' ? 1 : 0)) + "." +
                     text.substr(letter + 1, end - letter - 1),
                 text[letter] + text.substr(end)};
}

// One decimal mark and thousands marks of the other kind; "1,234" alone says neither.
std::optional<Written> with_mark(const std::string& text) {
  const std::size_t end = text.find_first_not_of("+-.,0123456789");
  std::string number = text.substr(0, end);
  const std::size_t comma = number.rfind(',');
  const std::size_t point = number.rfind('.');
  if (comma != std::string::npos && point == std::string::npos) {
    const bool thousands = number.size() - comma == 4 && number.find_first_of("123456789") < comma;
    if (thousands || number.find(',') != comma) return std::nullopt;
    number[comma] = '.';
  } else if (comma != std::string::npos) {
    const char thousands = comma < point ? ',' : '.';
    const char decimal = comma < point ? '.' : ',';
    if (number.find(decimal) != number.rfind(decimal) || number.find(thousands) != number.rfind(thousands) ||
        number.rfind(decimal) - number.find(thousands) != 4)
      return std::nullopt;
    std::erase(number, thousands);
    if (decimal == ',') number[number.find(',')] = '.';
  }
  if (number.find('.') != number.rfind('.')) return std::nullopt;
  return Written{number, end == std::string::npos ? "" : text.substr(end)};
}

std::optional<double> number_in(const std::string& text) {
  if (text.find_first_of("0123456789") == std::string::npos) return std::nullopt;
  const std::string whole = text.starts_with("+") ? text.substr(1) : text;
  const std::size_t sign = whole.starts_with("-") ? 1 : 0;
  if (whole.find_first_of("+-", sign) != std::string::npos) return std::nullopt;
  const std::string led = whole[sign] == '.' ? whole.substr(0, sign) + "0" + whole.substr(sign) : whole;
  const auto number =
      read_number(led.ends_with('.') ? led.substr(0, led.size() - 1) : led, DecimalMark::point);
  if (!number || !number->unit.empty()) return std::nullopt;
  return number->value;
}

// "5e-05" is 5 with the exponent -5, which is taken out of the text; 0 where there is none.
int taken_exponent(std::string& text) {
  const std::size_t e = text.find_first_of("eE");
  if (e == std::string::npos || e == 0 || !(is_digit(text[e - 1]) || text[e - 1] == '.')) return 0;
  const std::size_t sign = e + 1 < text.size() && (text[e + 1] == '-' || text[e + 1] == '+') ? 1 : 0;
  const std::size_t first = e + 1 + sign;
  const std::size_t end = digits_from(text, first);
  if (end == first || end - first > 2) return 0;
  int exponent = 0;
  for (std::size_t k = first; k < end; ++k) exponent = 10 * exponent + (text[k] - '0');
  if (sign == 1 && text[e + 1] == '-') exponent = -exponent;
  text.erase(e, end - e);
  return exponent;
}

bool is_possible(double value, std::string_view unit, std::string_view meter) {
  static const NamedFigures lowest("reading_limits.csv", "lowest");
  static const NamedFigures highest("reading_limits.csv", "highest");
  if (value < lowest.at(unit)) return false;
  if (unit == "ohm") return true;
  double most = highest.at(unit);
  const MeterSheet* sheet = meter_sheet(meter);
  if (unit == "A" && sheet && !sheet->amperes.empty()) most = std::min(most, sheet->amperes.back().up_to);
  return std::abs(value) <= most;
}

}  // namespace

const char* name_of(ReadingError error) {
  constexpr std::array names{"unreadable", "wrong_unit", "impossible"};
  return names[static_cast<std::size_t>(error)];
}

tl::expected<double, ReadingError> entered_reading(std::string_view text, std::string_view unit,
                                                   std::string_view meter) {
  std::string given = plain(text);
  if (says_over_range(given)) {
    if (unit == "ohm") return over_range_reading;
    return Failed(ReadingError::wrong_unit);
  }
  const int exponent = taken_exponent(given);
  auto written = with_letter_as_point(given);
  if (!written) written = with_mark(given);
  const auto number = written ? number_in(written->number) : std::nullopt;
  if (!number) return Failed(ReadingError::unreadable);
  const auto scaled = scaled_unit(written->letters);
  if (!scaled) return Failed(ReadingError::unreadable);
  if (!scaled->unit.empty() && scaled->unit != unit) return Failed(ReadingError::wrong_unit);
  const double value = *number * scaled->factor * std::pow(10.0, exponent);
  if (!is_possible(value, unit, meter)) return Failed(ReadingError::impossible);
  return value;
}

}  // namespace loomgraft
