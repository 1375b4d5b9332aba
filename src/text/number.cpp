#include "text/number.h"

#include <vector>

#include "base/ascii.h"
#include "base/decimal.h"

namespace loomgraft {
namespace {

std::string_view trim_blanks(std::string_view text) {
  text = trimmed(text);
  while (text.starts_with("\xC2\xA0")) text.remove_prefix(2);
  return text;
}

// Length of a mark that may stand between two digits: one byte, or a no-break blank (U+00A0, U+202F), or
// U+2019.
std::size_t mark_length(std::string_view rest) {
  if (rest.empty()) return 0;
  if (rest[0] == '.' || rest[0] == ',' || rest[0] == '\'' || rest[0] == ' ') return 1;
  if (rest.starts_with("\xC2\xA0")) return 2;
  if (rest.starts_with("\xE2\x80\xAF") || rest.starts_with("\xE2\x80\x99")) return 3;
  return 0;
}

// Groups of digits and the marks between them: "1.234,5" is {1, 234, 5} with marks {'.', ','}.
struct Digits {
  std::vector<std::string> groups;
  std::string marks;  // '.', ',' or ' ' for every other thousands mark
  std::size_t length = 0;
};

// A blank or apostrophe counts only between a digit and exactly three digits, so that "12 3" stays 12.
bool three_digits_follow(std::string_view rest) {
  return rest.size() >= 3 && is_digit(rest[0]) && is_digit(rest[1]) && is_digit(rest[2]) &&
         (rest.size() == 3 || !is_digit(rest[3]));
}

Digits split_digits(std::string_view text) {
  Digits digits;
  digits.groups.emplace_back();
  std::size_t at = 0;
  while (at < text.size()) {
    if (is_digit(text[at])) {
      digits.groups.back().push_back(text[at++]);
      continue;
    }
    const std::size_t length = mark_length(text.substr(at));
    if (length == 0) break;
    const char mark = text[at] == '.' || text[at] == ',' ? text[at] : ' ';
    const std::string_view rest = text.substr(at + length);
    const bool goes_on = mark == ' ' ? !digits.groups.back().empty() && three_digits_follow(rest)
                                     : !rest.empty() && is_digit(rest[0]);
    if (!goes_on) break;
    digits.marks.push_back(mark);
    digits.groups.emplace_back();
    at += length;
  }
  // "5." and "5," end a number or a sentence: the mark is skipped.
  digits.length = at;
  return digits;
}

enum class Reading { bad, whole, point, comma, either };

bool groups_of_three(const Digits& digits, std::size_t first, std::size_t last) {
  if (digits.groups[0].empty() || digits.groups[0].size() > 3) return false;
  for (std::size_t i = first; i <= last; ++i)
    if (digits.groups[i].size() != 3) return false;
  return true;
}

Reading reading_of(const Digits& digits) {
  const std::string& marks = digits.marks;
  if (marks.empty()) return Reading::whole;
  const char last = marks.back();
  const std::size_t count = marks.size();
  const bool same = marks.find_first_not_of(last) == std::string::npos;
  if (same && last == ' ') return groups_of_three(digits, 1, count) ? Reading::whole : Reading::bad;
  if (same && count > 1)
    return groups_of_three(digits, 1, count) ? (last == '.' ? Reading::comma : Reading::point) : Reading::bad;
  const Reading by_last = last == '.' ? Reading::point : Reading::comma;
  if (count > 1) {
    const bool thousands_same = marks.find_first_not_of(marks[0]) == count - 1;
    return thousands_same && last != ' ' && groups_of_three(digits, 1, count - 1) ? by_last : Reading::bad;
  }
  const bool may_be_thousands = groups_of_three(digits, 1, 1) && digits.groups[0] != "0";
  return may_be_thousands ? Reading::either : by_last;
}

double value_of(const Digits& digits, bool fraction_last, std::string_view exponent, bool negative) {
  std::string plain;
  for (std::size_t i = 0; i < digits.groups.size(); ++i) {
    if (fraction_last && i + 1 == digits.groups.size()) plain.push_back('.');
    plain += digits.groups[i];
  }
  plain += exponent;
  const double value = read_decimal(plain).value_or(0.0);
  return negative ? -value : value;
}

// "E+03" directly behind the digits; an exponent needs digits, so "5 EUR" and "2e" have none.
std::string_view exponent_of(std::string_view rest) {
  if (rest.empty() || (rest[0] != 'e' && rest[0] != 'E')) return {};
  std::size_t at = 1;
  if (at < rest.size() && (rest[at] == '+' || rest[at] == '-')) ++at;
  const std::size_t first = at;
  while (at < rest.size() && is_digit(rest[at])) ++at;
  return at == first || at - first > 4 ? std::string_view{} : rest.substr(0, at);
}

bool take_sign(std::string_view& text) {
  if (text.starts_with("\xE2\x88\x92") || text.starts_with("\xE2\x80\x93")) {  // minus sign, en dash
    text.remove_prefix(3);
    return true;
  }
  const bool negative = text.starts_with('-');
  if (negative || text.starts_with('+')) text.remove_prefix(1);
  return negative;
}

}  // namespace

std::optional<NumberText> read_number(std::string_view text, DecimalMark mark) {
  text = trim_blanks(text);
  const bool negative = take_sign(text);
  text = trim_blanks(text);
  if (text.empty()) return std::nullopt;
  const bool leading_mark = (text[0] == '.' || text[0] == ',') && text.size() > 1 && is_digit(text[1]);
  if (!is_digit(text[0]) && !leading_mark) return std::nullopt;
  const Digits digits = split_digits(text);
  const Reading reading = reading_of(digits);
  if (reading == Reading::bad) return std::nullopt;

  NumberText number;
  bool fraction = false;
  if (reading == Reading::point || reading == Reading::comma) {
    // Several equal marks can only be thousands: no fraction then.
    const bool same =
        digits.marks.size() > 1 && digits.marks.find_first_not_of(digits.marks[0]) == std::string::npos;
    fraction = !same;
  } else if (reading == Reading::either) {
    const DecimalMark own = digits.marks[0] == '.' ? DecimalMark::point : DecimalMark::comma;
    number.ambiguous = mark == DecimalMark::unknown;
    fraction = mark == DecimalMark::unknown || mark == own;
  }
  const std::string_view exponent = exponent_of(text.substr(digits.length));
  number.value = value_of(digits, fraction, exponent, negative);
  std::string_view rest = text.substr(digits.length + exponent.size());
  if (rest.starts_with('.') || rest.starts_with(',')) rest.remove_prefix(1);
  number.unit = trim_blanks(rest);
  return number;
}

}  // namespace loomgraft
