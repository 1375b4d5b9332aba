// The linear kernel: node voltages of conductances with sources in series, and injected currents.
//
// Model   branches between nodes, node 0 is the reference at 0 volts. The current of a branch from a to b is
//         conductance * (v_a - v_b - emf); `injected[k]` flows into node k.
// Needs   every conductance >= 0, every node joined to the reference through conductances > 0
// Gives   one voltage per node; false where a node has no path, or numbers overflow
// Cost    linear in the fill of the factor; what depends only on the ends of the branches (order and fill)
//         is kept in the work space, so a second call with other values is several times cheaper
// Method  elimination without subtraction (star-mesh transformation; Grassmann, Taksar and Heyman 1985): it
//         keeps every digit whatever the spread of conductances. A source in series goes through the
//         elimination as a source in series, so one that floats over a leak loses nothing either. Up to
//         dense_nodes in a full triangle; above that with a sparse order and a full triangle for the rest.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "circuit/pattern.h"

namespace loomgraft::circuit {

inline constexpr std::uint32_t dense_nodes = 60;

// `work` is scratch that grows as needed; one may serve many calls and many circuits.
struct NodalWork {
  std::vector<NodalCell> cells;
  std::vector<double> injected;
  NodalPattern pattern;
};

bool solve_nodal(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                 std::vector<double>& volts);

}  // namespace loomgraft::circuit
