// The six verdicts as marks that differ in shape, each with its word.
//
// Gives   keep: tick; shift: arrow; add: plus; retire: cross; clash: triangle with an exclamation mark;
//         unsure: question mark in a ring. Colour only repeats the shape.
#pragma once

#include <string_view>

#include "draw/svg.h"

namespace loomgraft {

enum class Mark { none, keep, shift, add, retire, clash, unsure };
inline constexpr Mark all_marks[] = {Mark::keep,   Mark::shift, Mark::add,
                                     Mark::retire, Mark::clash, Mark::unsure};

constexpr std::string_view name_of(Mark mark) {
  constexpr std::string_view names[] = {"", "keep", "shift", "add", "retire", "clash", "unsure"};
  return names[static_cast<int>(mark)];
}

// Which of several marks on one cavity is shown: the one that can do most harm when overlooked.
int urgency(Mark mark);

// Centred at x, y, within a square of side `size`.
void write_mark(Svg& svg, Mark mark, double x, double y, double size);

}  // namespace loomgraft
