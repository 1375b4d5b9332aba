// Shorter ways for wires that pass columns. Used within diagram/ only.
//
// Model   a wire that has to pass a column has a position in its order like a part. Many orders have equally
//         few crossings; in some of them a wire goes round everything. Each such wire is tried at the height
//         of either of its ends, the longest detour first.
// Needs   `places` are those of `net`
// Gives   never more crossings; the upright strokes all together are shorter, or nothing is changed
// Cost    a count of crossings for each try, at most `tries` of them
#pragma once

#include <vector>

#include "diagram/build.h"
#include "diagram/place.h"

namespace loomgraft::diagram {

struct DetourOptions {
  std::size_t tries = 40;
  double smallest = 20.0;  // of a detour, in the units of the places
};

// Returns the number of crossings afterwards.
std::size_t shorten_detours(DiagramNet& net, const std::vector<HopRun>& runs, const PlaceOptions& placing,
                            NetPlaces& places, const DetourOptions& options = {});

}  // namespace loomgraft::diagram
