// Symbols of circuit diagrams, drawn from the well-known shapes of IEC 60617.
//
// Model   a two-ended symbol lies on the x axis of its own frame, its body centred at 0 and no longer than
//         `symbol_half` either way; the caller places, turns and scales the frame. Leads reach the body.
// Gives   shapes only, no text, so that no letter is upside down when a symbol is turned; symbol_letter()
//         is what the caller writes upright into the middle ("M" of a motor)
// Fails   an unknown name gives a plain rectangle
#pragma once

#include <string_view>

#include "draw/svg.h"

namespace loomgraft::diagram {

inline constexpr double symbol_half = 3.0;  // mm: half of the longest body
inline constexpr double symbol_rise = 2.6;  // mm: furthest that a body reaches across its axis
inline constexpr std::string_view symbol_ink = "#1c1c1c";
inline constexpr double symbol_line = 0.35;  // mm

// From (-reach, 0) to (reach, 0), leads included. `reach` >= symbol_half.
void write_symbol(Svg& svg, std::string_view name, double reach);

std::string_view symbol_letter(std::string_view name);

// Hanging from (x, y).
void write_earth(Svg& svg, double x, double y);
// Where wires join.
void write_joint(Svg& svg, double x, double y);
// A wire's end that leads nowhere.
void write_open_end(Svg& svg, double x, double y);

}  // namespace loomgraft::diagram
