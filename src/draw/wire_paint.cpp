#include "draw/wire_paint.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "draw/palette.h"

namespace loomgraft {
namespace {

struct PaintRow {
  std::string_view letters;
  std::string_view fill;
  std::string_view stripe;
  // Black ink: lines at an angle in degrees, `step` apart and `line` wide; step 0 is white, line 0 black.
  double angle;
  double step;
  double line;
};

// Our own choice of inks; the line patterns differ in direction first, in density second.
constexpr PaintRow paints[] = {
    {"BK", "#1b1b1b", "", 0, 1, 0},
    {"BN", "#7a4a25", "", 45, 0.7, 0.35},
    {"RD", "#c9281f", "", 90, 0.7, 0.25},
    {"OG", "#f08a1d", "", 90, 1.0, 0.16},
    {"YE", "#f6d523", "", 135, 1.2, 0.12},
    {"GN", "#2f8f46", "", 45, 0.7, 0.22},
    {"BU", "#2463ba", "", 0, 0.7, 0.25},
    {"VT", "#7c3f99", "", 135, 0.7, 0.3},
    {"GY", "#9b9b97", "", 0, 0.5, 0.16},
    {"WH", "#ffffff", "", 0, 0, 0},
    {"PK", "#f2a5b9", "", 90, 1.4, 0.12},
    {"TQ", "#35b4b4", "", 0, 1.2, 0.14},
    {"SR", "#ccd1d6", "", 45, 1.4, 0.1},
    {"GD", "#b9933b", "", 135, 0.8, 0.16},
    {"GNYE", "#2f8f46", "#f6d523", 45, 0.7, 0.22},
};

const PaintRow* find_paint(std::string_view letters) {
  const auto* found = std::find_if(std::begin(paints), std::end(paints),
                                   [&](const PaintRow& row) { return row.letters == letters; });
  return found == std::end(paints) ? nullptr : found;
}

int hex_digit(char c) {
  return c <= '9' ? c - '0' : c - 'a' + 10;
}

// Relative luminance of WCAG 2.1, from sRGB.
double luminance(std::string_view fill) {
  constexpr double weights[] = {0.2126, 0.7152, 0.0722};
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    const double value = (hex_digit(fill[1 + 2 * i]) * 16 + hex_digit(fill[2 + 2 * i])) / 255.0;
    sum += weights[i] * (value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4));
  }
  return sum;
}

std::string fill_for(const PaintRow* row, WireInk ink) {
  if (row == nullptr) return "#ffffff";
  if (ink == WireInk::colour) return std::string(row->fill);
  if (row->step == 0.0) return "#ffffff";
  return row->line == 0.0 ? "#000000" : "url(#wire-" + std::string(row->letters) + ")";
}

// The second ink: the tracer, or the stripe of a two-colour base.
std::string stripe_for(const Colour& colour, WireInk ink) {
  if (!colour.tracer.empty()) return fill_for(find_paint(colour.tracer), ink);
  const PaintRow* base = find_paint(colour.base);
  if (base == nullptr || base->stripe.empty()) return {};
  return ink == WireInk::colour ? std::string(base->stripe) : fill_for(find_paint("YE"), ink);
}

void write_pattern(Svg& svg, const PaintRow& row) {
  svg.open("pattern", {{"id", "wire-" + std::string(row.letters)},
                       {"patternUnits", "userSpaceOnUse"},
                       {"width", row.step},
                       {"height", row.step},
                       {"patternTransform", "rotate(" + print_number(row.angle) + ")"}});
  svg.empty("rect", {{"width", row.step}, {"height", row.step}, {"fill", "#ffffff"}});
  svg.empty("rect", {{"width", row.step}, {"height", row.line}, {"fill", "#000000"}});
  svg.close("pattern");
}

}  // namespace

Paint paint_of(std::string_view letters) {
  const PaintRow* row = find_paint(letters);
  if (row == nullptr) return {"#ffffff", "", false, false};
  return {std::string(row->fill), std::string(row->stripe), text_on(row->fill) == "#ffffff", true};
}

std::string_view text_on(std::string_view fill) {
  const double light = luminance(fill);
  return (light + 0.05) * (light + 0.05) < 1.05 * 0.05 ? "#ffffff" : "#000000";
}

std::string letters_of(const Colour& colour) {
  const std::string letters = print(colour);
  return letters.empty() ? "?" : letters;
}

void write_wire_patterns(Svg& svg, WireInk ink) {
  if (ink == WireInk::colour) return;
  svg.open("defs");
  for (const PaintRow& row : paints) {
    if (row.line > 0.0) write_pattern(svg, row);
  }
  svg.close("defs");
}

void write_wire_end(Svg& svg, double x, double y, double radius, const Colour& colour, WireInk ink) {
  const PaintRow* base = find_paint(colour.base);
  svg.empty("circle", {{"cx", x},
                       {"cy", y},
                       {"r", radius},
                       {"fill", fill_for(base, ink)},
                       {"stroke", palette::outline},
                       {"stroke-width", 0.2},
                       {"stroke-dasharray", base == nullptr ? "0.6 0.5" : "none"}});
  if (base == nullptr) {
    svg.text(x, y + 0.5 * radius, "?", {1.4 * radius, true, Anchor::middle});
    return;
  }
  const std::string stripe = stripe_for(colour, ink);
  if (stripe.empty()) return;
  // A band across the middle whose corners end on the circle.
  const double width = 0.62 * radius;
  const double half = std::sqrt(radius * radius - width * width / 4.0);
  const double reach = half * std::sqrt(0.5);
  svg.line(x - reach, y + reach, x + reach, y - reach, palette::outline, width + 0.24);
  svg.line(x - reach, y + reach, x + reach, y - reach, stripe, width);
}

void write_wire_piece(Svg& svg, double x, double y, double length, double thickness, const Colour& colour,
                      WireInk ink) {
  const PaintRow* base = find_paint(colour.base);
  svg.empty("rect", {{"x", x},
                     {"y", y - 0.5 * thickness},
                     {"width", length},
                     {"height", thickness},
                     {"rx", 0.4 * thickness},
                     {"fill", fill_for(base, ink)},
                     {"stroke", palette::outline},
                     {"stroke-width", 0.2},
                     {"stroke-dasharray", base == nullptr ? "0.6 0.5" : "none"}});
  const std::string stripe = stripe_for(colour, ink);
  if (base == nullptr || stripe.empty()) return;
  const double width = 0.36 * thickness;
  svg.empty("rect", {{"x", x + 0.1},
                     {"y", y - 0.5 * width},
                     {"width", length - 0.2},
                     {"height", width},
                     {"fill", stripe},
                     {"stroke", palette::outline},
                     {"stroke-width", 0.12}});
}

}  // namespace loomgraft
