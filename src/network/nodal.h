// The linear kernel: node voltages of conductances and injected currents.
//
// Model   branches between nodes, node 0 is the reference at 0 volts; `injected[k]` flows into node k
// Needs   every conductance >= 0, every node joined to the reference through conductances > 0
// Gives   one voltage per node; false where a factorisation broke down
// Method  up to dense_nodes: elimination without subtraction (star-mesh transformation; Grassmann, Taksar and
//         Heyman 1985), which keeps every digit whatever the spread of conductances. Above: sparse LDL
//         transposed with two steps of refinement.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace loomgraft {

inline constexpr std::uint32_t dense_nodes = 60;

struct NodalBranch {
  std::uint32_t a = 0;
  std::uint32_t b = 0;
  double conductance = 0.0;
};

// `work` is scratch that grows as needed; one may serve many calls.
struct NodalWork {
  std::vector<double> matrix;
};

bool solve_nodal(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                 std::vector<double>& volts);

}  // namespace loomgraft
