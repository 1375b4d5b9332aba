// Numbers of .xlsx cells as their format shows them.
//
// Model   fixed and padded digits, percent, text in quotes; dates and times, written year first. Thousands are not
//         grouped and colours, conditions and fractions not shown
#pragma once

#include <string>
#include <string_view>

namespace loomgraft::files {

// `code`: the format's text; `id`: its number, of which those below 164 have texts of their own (ECMA-376, 18.8.30).
struct NumberFormat {
  int id = 0;
  std::string code;
};

struct ShownNumber {
  std::string text;
  bool day_and_month = false;  // of the form that spreadsheet programs give to "3/13" when it is typed
};

ShownNumber show_number(double value, const NumberFormat& format, bool from_1904);

}  // namespace loomgraft::files
