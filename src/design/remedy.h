// Changes that make a check pass where no size can: each is made on a copy of the graft and designed again.
//
// Gives   a relay for an output above its current limit; a diode across a coil whose turn-off energy is too much
//         for its output; an earth of its own for a sensor whose earth others shift; a pull-up for an input that
//         has none. Each with the checks of the changed design.
// Needs   a graft whose plan states every size, as the design chose them
// Cost    one design without remedies for each
#pragma once

#include <vector>

#include "design/design.h"
#include "loom/forbidden.h"

namespace loomgraft::design {

// `forbidden` of the graft: a remedy joins none of it.
std::vector<Remedy> remedies_for(const Graft& graft, const CircuitDesign& circuit,
                                 const ForbiddenParts& forbidden);

// The checks of a changed copy of a graft that has been designed: its new wires sized, nothing else looked for.
DesignReport design_of_copy(const Graft& copy, const ForbiddenParts& forbidden);

}  // namespace loomgraft::design
