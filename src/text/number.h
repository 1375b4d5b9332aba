// Tolerant reading of numbers as people and spreadsheets write them.
//
// Model   a sign, digits with decimal point or comma, thousands marks (point, comma, blank, apostrophe),
//         an exponent, and whatever unit follows at once: "74,50%", "1.234,5", "-40 °C", "1'000", "1.5E+03"
// Gives   the value and the unit as written; `ambiguous` where "1,234" may be 1.234 or 1234 and nothing tells
// Fails   no value where the text does not start with a number, or where its marks fit no reading
// Cost    linear; independent of locale
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft {

enum class DecimalMark { unknown, point, comma };

struct NumberText {
  double value = 0;
  std::string unit;  // what follows the digits, trimmed; empty where nothing does
  bool ambiguous =
      false;  // read with the decimal mark as point or, for "1,234", as comma; the other is as good
};

std::optional<NumberText> read_number(std::string_view text, DecimalMark mark = DecimalMark::unknown);

}  // namespace loomgraft
