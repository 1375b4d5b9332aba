// Wires drawn as wires: the base colour with the tracer as a stripe.
//
// Model   IEC 60757 letters to inks of our own choice, distinguishable on screen and on paper. In black ink
//         every colour is a pattern of lines or dots instead. The letters are always written beside it: the
//         ink alone is not enough.
// Gives   an unknown colour as white with a dashed outline and a question mark
#pragma once

#include <string>
#include <string_view>

#include "draw/svg.h"
#include "text/colour.h"

namespace loomgraft {

enum class WireInk { colour, black };

struct Paint {
  std::string fill;    // "#rrggbb"
  std::string stripe;  // second colour of a two-colour base (GNYE), or empty
  bool dark = false;   // light text goes on it
  bool known = false;
};

Paint paint_of(std::string_view letters);

// Black or white, whichever is easier to read on the colour (WCAG 2 relative luminance).
std::string_view text_on(std::string_view fill);

// "YE/BU", the raw text where the letters are unknown, "?" where there is nothing.
std::string letters_of(const Colour& colour);

// The patterns that WireInk::black refers to, once in each drawing.
void write_wire_patterns(Svg& svg, WireInk ink);

// The wire cut across, as seen in its cavity.
void write_wire_end(Svg& svg, double x, double y, double radius, const Colour& colour, WireInk ink);

// A piece of the wire lying from left to right; `y` is its middle.
void write_wire_piece(Svg& svg, double x, double y, double length, double thickness, const Colour& colour,
                      WireInk ink);

}  // namespace loomgraft
