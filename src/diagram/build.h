// From parts and hops to a net of columns, groups and legs.
//
// Model   a terminal faces the side where the other end of its wire is, so a fuse between two columns lies
//         flat, and one whose wires both come from the left is upright
// Gives   net.parts begin with the parts, in their order; parts for wires that pass a column follow. Each run
//         is one hop: its legs in order from `from` to `to`.
// Cost    linear in the hops and the columns they pass
#pragma once

#include <vector>

#include "diagram/net.h"
#include "diagram/parts.h"

namespace loomgraft::diagram {

struct HopRun {
  std::vector<std::size_t> legs;  // of the net; one stub for a hop into the open
};

struct BuiltNet {
  DiagramNet net;
  std::vector<HopRun> runs;                        // of each hop
  std::vector<std::vector<std::size_t>> group_of;  // of each part: the group of each terminal
  std::vector<bool> flat;                          // of each part: one terminal at each side, in one row
  std::vector<bool> swapped;                       // of each mated pair: its `right` connector is at the left
};

struct BuildOptions {
  bool joints_apart = true;  // joints, fuses and relays in a column of their own, not among the devices
};

BuiltNet build_net(const PartsAndHops& found, const BuildOptions& options);

}  // namespace loomgraft::diagram
