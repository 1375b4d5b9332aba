// What each assumption does to the design: the check that it moves most, with the assumed figure at the other end of its
// interval and everything else as it is.
//
// Model   assumed figures of the network: the elements of the part are those of the other corner, solved again. The supply:
//         the other end of its working volts. Insulation: the lowest class. Air: the hottest of an engine bay. Family of a
//         fuse: the slowest, and the one that interrupts least. Only checks that are close to their limit or decide
// Gives   for each assumption the check that comes to another result, else the one whose margin moves most; none where
//         nothing moves, where the figure has no interval, or where the check is decided in another condition
// Cost    three networks for all of them, three solves for each that carries current
#pragma once

#include <vector>

#include "design/checks_internal.h"
#include "design/design.h"
#include "design/sizing_run.h"

namespace loomgraft::design {

std::vector<DesignAssumption> with_outcomes(const SizingRun& run, const LoomHeat& heat,
                                            const std::vector<CircuitDesign>& circuits,
                                            const std::vector<Assumption>& assumptions);

}  // namespace loomgraft::design
