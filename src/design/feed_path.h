// The path of the current through a solved network: from a node up to the source that feeds it, or from a node back
// to that source.
//
// Model   at each node the branch that carries most into it (upstream) or out of it (downstream) is taken,
//         until a source or a module's pin ends the path
// Gives   the steps in the order walked, each with its current and the volts lost in it
// Cost    linear in the length of the path
#pragma once

#include <vector>

#include "design/sizing_run.h"

namespace loomgraft::design {

struct PathStep {
  std::size_t branch = 0;
  Amperes current;  // > 0 in the direction of the current
  Volts drop;       // >= 0 except for sources
};

enum class Walk { upstream, downstream };

std::vector<PathStep> feed_path(const LoadCase& load_case, NodeId from, Walk walk);
// The same over another solution of the load case's network.
std::vector<PathStep> feed_path(const LoadCase& load_case, const NetworkSolution& solution, NodeId from,
                                Walk walk);

// Wires, contacts of connectors, joints and fuses; not switches, drivers, consumers.
bool is_conductor(BranchKind kind);
Volts conductor_drop(const LoadCase& load_case, const std::vector<PathStep>& path);

}  // namespace loomgraft::design
