// The probabilities behind find_plug, read from data/colour_confusion.csv and data/plug_odds.csv.
//
// Model   an observation is made in one of four conditions: clear, dirty, by someone who gives base colours
//         only, or bad
// Gives   every number of the likelihood; a row of the confusion matrix sums to 1
// Fails   throws std::logic_error where the embedded files are not as the program needs them: a bug
#pragma once

#include <array>
#include <string_view>

#include "text/colour.h"

namespace loomgraft::plug {

inline constexpr std::size_t hue_count = 14;
inline constexpr std::array<std::string_view, hue_count> hue_letters{
    "BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ", "SR", "GD"};

// Base and tracer as positions in hue_letters; -1 is none or unknown. Green-yellow is green with a yellow
// tracer.
struct Hues {
  int base = -1;
  int tracer = -1;
  bool operator==(const Hues&) const = default;
};
Hues hues_of(const Colour& colour);

inline constexpr std::size_t condition_count = 4;

// How well a person sees: in clear light, over dirt, and so on.
struct SeeingCondition {
  double share = 0.0;
  double tracer_unseen = 0.0;
  std::array<std::array<double, hue_count>, hue_count> seen_as{};  // [true][seen]
};

struct PlugOdds {
  std::array<SeeingCondition, condition_count> conditions;
  std::array<double, hue_count> hue_share{};
  double tracer_false = 0.0;
  double tracer_untold = 0.0;
  double tracer_swapped = 0.0;
  double tracer_share = 0.0;
  double wire_other_colour = 0.0;
  double empty_where_wire = 0.0;
  double empty_where_populated = 0.0;
  double empty_where_signal = 0.0;
  double empty_undocumented = 0.0;
  double empty_where_none = 0.0;
  double empty_in_general = 0.0;
  double wire_seen_in_empty = 0.0;
  double empty_seen_with_wire = 0.0;
  double slip = 0.0;
  double slip_column_all = 0.0;
  double slip_row_all = 0.0;
  double misplaced = 0.0;
  double misplaced_guessed = 0.0;
  double latch_right = 0.0;
  double latch_top = 0.0;
  double latch_bottom = 0.0;
  double latch_left = 0.0;
  double latch_right_hand = 0.0;
  double looked_from_right = 0.0;
  double view_assumed_right = 0.0;
  double size_mistaken = 0.0;
  double size_mistaken_alone = 0.0;
  double large_from_mm = 0.0;
  double large_in_general = 0.0;
};

const PlugOdds& plug_odds();

}  // namespace loomgraft::plug
