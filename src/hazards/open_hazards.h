// What the comparison and the design leave open, for the test plan to have confirmed before the battery is joined.
//
// Model   a hazard of the comparison is open where the plan does not take the vehicle's wire out of that cavity; a
//         function that the vehicle loses, and a circuit whose design fails, are open until a person has looked
// Needs   a graft; the comparison needs a module as found and a donor, else it leaves nothing open
// Gives   hazards in the order of the comparison, then of the design
// Cost    one comparison and one design
#pragma once

#include <vector>

#include "loom/graft.h"
#include "loom/open_hazard.h"

namespace loomgraft {

std::vector<OpenHazard> open_hazards(const Graft& graft);

}  // namespace loomgraft
