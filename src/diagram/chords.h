// The legs of each channel as chords of its edge, and what crosses what. Used within diagram/ only.
//
// Model   every port has a position on the edge of its channel: down the left side, then up the right; legs
//         cross where the ends of their chords alternate. Parts of a column are one apart, so that a part's
//         ports lie within [rank, rank + 0.4).
// Needs   the net outlives the Chords; renew_column() or renew_part() after each change of an order
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "diagram/net.h"

namespace loomgraft::diagram {

// Ports that change place together.
struct Block {
  double base = 0.0;  // their common position; each port lies within half a spacing above
  std::vector<std::size_t> legs;
  std::vector<std::array<bool, 2>> mine;  // which ends of each leg belong to the block

  // One leg each: what does not change while blocks of one column change places.
  struct Chord {
    std::size_t channel = 0;
    bool right = false;
    double offset = 0.0;   // of its end in the block, from the base
    double far_key = 0.0;  // of its other end
  };
  std::vector<Chord> chords;
  bool simple = true;  // no leg has both ends in the block's column
};

// Between the groups of a part.
double group_spacing(const NetPart& part);

class Chords {
 public:
  explicit Chords(const DiagramNet& net);
  void renew_column(std::size_t column);
  void renew_part(std::size_t part);

  std::size_t count() const;
  std::size_t crossings_at(std::size_t part) const;

  // What the number of crossings changes by when `moved` goes to the other side of `passed`: below it for a
  // positive `half` (half the spacing of the blocks), above it for a negative one.
  double change_on_passing(const Block& moved, const Block& passed, double half) const;

  Block block_of_part(std::size_t part) const;
  Block block_of_group(std::size_t part, std::size_t group) const;

  const NetEnd* far_end(std::size_t leg, std::size_t part) const;
  // How far round the channel's edge the leg's other end is, seen from the side of the part's group.
  double distance_round(std::size_t leg, std::size_t part, std::size_t group, bool right) const;
  // From 0 at the top of the far column to 1 at its bottom.
  double share_of_column(std::size_t leg, const NetEnd& end) const;

 private:
  using Ends = std::array<double, 2>;
  double key(std::size_t leg, std::size_t end, double place) const;
  double change_on_passing_simple(const Block& moved, const Block& passed, double half) const;
  bool cross(std::size_t a, const Ends& places_a, std::size_t b, const Ends& places_b) const;
  bool cross(std::size_t a, std::size_t b) const { return cross(a, places_[a], b, places_[b]); }
  std::size_t count_in(const std::vector<std::size_t>& legs) const;
  bool ends_in_one_column(std::size_t leg) const;
  Block block_of(std::size_t part, const std::vector<std::size_t>& groups, double base) const;
  Ends moved_places(const Block& block, std::size_t i, double base) const;

  const DiagramNet* net_;
  std::vector<double> ranks_;                // of each part in its column
  std::vector<Ends> places_;                 // of both ends of each leg
  std::vector<std::array<bool, 2>> rights_;  // NetEnd::right of both ends, close together
  std::vector<std::vector<std::size_t>> by_channel_;
};

}  // namespace loomgraft::diagram
