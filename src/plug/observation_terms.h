// The text of an observation (observation.h), split into terms and classified.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::plug {

enum class ObservationTermKind {
  separator,  // a comma, semicolon, new line or "and"
  position,   // row, column or both
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
  filler,  // carries no information: "the", "seen"
  other,   // a colour, or not understood
};

struct ObservationTerm {
  ObservationTermKind kind = ObservationTermKind::other;
  std::string text;    // lower case, without marks around it
  std::string raw;     // as typed
  int column = 0;      // in the text, from 1
  int row_number = 0;  // position; -1 is a number that cannot be one
  int column_number = 0;
  int number = 0;
  bool large = false;
  bool unsure = false;  // typed with a question mark
  Side side = Side::unknown;
  View view = View::unknown;
};

std::vector<ObservationTerm> observation_terms(std::string_view text);

}  // namespace loomgraft::plug
