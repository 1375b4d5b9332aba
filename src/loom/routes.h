// How wires get from place to place.
//
// Model   places joined by paths; a wire whose ends are in two places, with no path and no length stated, follows the
//         shortest way (Dijkstra, by typical length)
// Gives   lengths with the interval that they lie in, where a path's length is a guess
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

struct RouteLength {
  Metres typical;
  Metres shortest;
  Metres longest;
  bool guessed = false;  // of one path at least only an interval is known
};

// Nothing where a path is unknown or has no length.
std::optional<RouteLength> route_length(const std::vector<LoomPath>& paths,
                                        const std::vector<std::string>& along);

// The place of a device or plug, by id; empty where none is stated.
std::string place_at(const Graft& graft, const std::string& id);

// States the way of every wire that has none, where the places of its ends tell it.
void follow_shortest_ways(const Graft& graft, std::vector<Wire>& wires);

}  // namespace loomgraft
