// A diagram as a layout problem: parts in columns, and between the columns wires.
//
// Model   column 0 is at the left. A part has groups of ports (a cavity, a terminal), one below the other; a
//         port is at its left or right side. A leg is the stretch of a wire between two ports that face the
//         same channel; channel c lies left of column c, the last one right of the last column. A wire that
//         has to pass a column goes through a part of its own there, with one group. A leg without a second
//         end is a stub: it ends beside its port.
// Needs   both ends of a leg face its channel; each leg is once in the list of each of its ends
// Gives   nothing by itself: diagram/order.h puts the parts in order, diagram/place.h gives them places
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <vector>

namespace loomgraft::diagram {

inline constexpr std::size_t nothing = static_cast<std::size_t>(-1);

// What may be done to the order of a part's groups.
enum class Turning {
  fixed,   // cavities in their order
  turned,  // a coil may be drawn either way up
  free     // wires through a grommet have no order of their own
};

// Supplies are above the other parts of their column, earths below. Wires that pass through, and their
// grommets, may be anywhere.
enum class Band { above, middle, below, any };

// May a part of band `upper` be above one of band `lower`?
inline bool may_stand_above(Band upper, Band lower) {
  return upper == Band::any || lower == Band::any || upper <= lower;
}

struct NetEnd {
  std::size_t part = nothing;
  std::size_t group = 0;
  bool right = false;  // the side of the part
};

struct NetLeg {
  std::size_t wire = nothing;
  std::size_t channel = nothing;
  std::array<NetEnd, 2> ends;
  bool stub() const { return ends[1].part == nothing; }
};

struct NetGroup {
  std::vector<std::size_t> left;  // legs, from top to bottom
  std::vector<std::size_t> right;
  double apart = 0.0;  // extra room above the group, where it is not the part's first
  const std::vector<std::size_t>& side(bool is_right) const { return is_right ? right : left; }
  std::vector<std::size_t>& side(bool is_right) { return is_right ? right : left; }
  std::size_t rows() const { return std::max<std::size_t>({1, left.size(), right.size()}); }
};

struct NetPart {
  std::size_t column = 0;
  Band band = Band::middle;
  Turning turning = Turning::fixed;
  std::vector<NetGroup> groups;
  std::vector<std::size_t> sequence;  // the groups from top to bottom
  double head = 0.0;                  // room above the first row
  double foot = 0.0;                  // room below the last row
  bool passing = false;               // a wire on its way through the column
};

struct DiagramNet {
  std::vector<NetPart> parts;
  std::vector<NetLeg> legs;
  std::vector<std::vector<std::size_t>> columns;  // parts from top to bottom
  std::size_t channels() const { return columns.empty() ? 0 : columns.size() + 1; }
};

}  // namespace loomgraft::diagram
