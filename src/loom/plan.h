// As planned = as found + the plan; and the reverse of a plan.
//
// Model   the plan is a set of changes that take effect together: moves of wire ends, additions, retirements.
//         The order of the work is computed separately (compare/moves.h).
// Gives   the wires of the planned loom, sorted by id; applying reversed(plan) to them gives the wires as
//         found
// Fails   a step that does not fit (unknown wire, the end is elsewhere, id taken, cavity taken) is left out
//         with a Problem at its JSON pointer, and the other steps still apply
#pragma once

#include <set>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

struct PlannedWires {
  std::vector<Wire> wires;  // sorted by id
  Problems problems;
};

// `devices` are the ids whose terminals may hold several wires; anything else is a connector.
PlannedWires apply_plan(const std::vector<Wire>& wires, const std::vector<PlanStep>& plan,
                        const std::set<std::string>& devices = {});
PlannedWires as_planned(const Graft& graft);

// The plan that takes the planned loom back. Needs the wires as found, for what a retirement took away.
std::vector<PlanStep> reversed(const std::vector<PlanStep>& plan, const std::vector<Wire>& as_found);

}  // namespace loomgraft
