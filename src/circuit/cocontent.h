// How far a Newton step may go in a circuit of piecewise-linear elements: circuit.cpp explains the co-content.
//
// Model   every element on the piece of its law at `from`; `target` is the circuit solved on those pieces
// Gives   the share of the way from one to the other at which the co-content is smallest, exactly; 1 where no element
//         comes to another piece on the way
// Cost    linear in the branches; sorts the knees met
#pragma once

#include <span>
#include <utility>
#include <vector>

#include "circuit/law.h"
#include "circuit/nodal.h"

namespace loomgraft {

// An element whose law has more than one piece; `branch` is its index among the branches.
struct PiecewiseElement {
  std::size_t branch = 0;
  Law law;
  int piece = 0;
};

// Volts by node. `knees`: scratch, the share of the way and the change of curvature there.
double step_of_least_cocontent(std::span<const NodalBranch> branches,
                               std::span<const PiecewiseElement> nonlinear, std::span<const double> from,
                               std::span<const double> target, std::vector<std::pair<double, double>>& knees);

}  // namespace loomgraft
