// The words of a glimpse (glimpse.h), cut apart and sorted by what they say.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::plug {

enum class GlimpseWordKind {
  separator,  // a comma, semicolon, new line or "and"
  place,      // row, column or both
  row,        // "row", a number follows
  column,
  number,
  empty,
  wire,
  size,
  somewhere,
  latch,
  side,    // "top", "left"
  view,    // "mating", "wire" before "side"
  tracer,  // "with": the next colour is the tracer of the last one
  filler,  // says nothing here: "the", "seen"
  other,   // a colour, or not understood
};

struct GlimpseWord {
  GlimpseWordKind kind = GlimpseWordKind::other;
  std::string text;    // lower case, without marks around it
  std::string raw;     // as typed
  int column = 0;      // in the text, from 1
  int row_number = 0;  // place; -1 is a number that cannot be a place
  int column_number = 0;
  int number = 0;
  bool large = false;
  bool unsure = false;  // typed with a question mark
  Side side = Side::unknown;
  View view = View::unknown;
};

std::vector<GlimpseWord> glimpse_words(std::string_view text);

}  // namespace loomgraft::plug
