// How wide a text will be, and how to make it fit.
//
// Model   advance widths of DejaVu Sans, regular and bold, for ASCII and the signs of units; other characters
//         count as wide ones.
//         Drawings ask for that typeface first; another sans-serif is seldom wider.
// Gives   widths in units of the font size given; cuts and breaks fall between whole UTF-8 characters
// Fails   never; a width that nothing fits gives one character a line, or an ellipsis
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

// Height of a capital of DejaVu Sans, of the size.
inline constexpr double capital_height = 0.729;

double text_width(std::string_view text, double size, bool bold = false);

// The text, or its beginning with an ellipsis, no wider than `width`.
std::string elide(std::string_view text, double width, double size, bool bold = false);

// Lines no wider than `width`, broken at blanks, or inside a word that alone is too wide. Never empty.
std::vector<std::string> wrap(std::string_view text, double width, double size, bool bold = false);

}  // namespace loomgraft
