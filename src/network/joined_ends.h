// Ends of wires that are joined to one another without a fuse or contacts between them: a rail.
//
// Model   goes on through joints and fusible links, and stops at everything else; what it stops at is part of it
// Gives   the start first, then in the order of the wires
// Cost    linear in the wires, for the index once more
#pragma once

#include <map>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

// Far ends by end, of wires with two ends.
using EndNeighbours = std::map<WireEnd, std::vector<WireEnd>>;
EndNeighbours end_neighbours(const std::vector<Wire>& wires);

std::vector<WireEnd> joined_ends(const std::vector<Device>& devices, const EndNeighbours& neighbours,
                                 const WireEnd& start);

// A device through which a rail goes on.
bool carries_rail(const Device& device);

// Its own terminals, else those of its kind; a device of an unknown kind has one.
std::vector<std::string> terminal_names(const Device& device);

}  // namespace loomgraft
