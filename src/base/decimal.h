// Numbers of type double as decimal text and back, the same on every machine and in every locale. The only
// place of the program that calls the standard library for it: a library without std::from_chars of double
// needs a second body here and nowhere else.
//
// Gives   read_decimal: the number that the whole text is ("2.5", "-1e-3"; no plus sign in front, no blanks,
//         no comma); infinite or zero where it is too large or too small for a double
//         print_...: text that read_decimal reads
// Fails   read_decimal: nothing where the text is no number; print_... never
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft {

std::optional<double> read_decimal(std::string_view text);

// The shortest text that reads back as the same number.
std::string print_decimal(double value);
// So many digits behind the point: "0.250".
std::string print_fixed(double value, int decimals);
// The same without zeros at its end: "0.25", "12", "0" and never "-0".
std::string print_rounded(double value, int decimals);
// One digit before the point and so many behind it: "2.50e-01".
std::string print_scientific(double value, int decimals);

}  // namespace loomgraft
