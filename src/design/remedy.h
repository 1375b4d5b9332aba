// Changes that mend what a size cannot: each made on a copy of the graft, designed again, and judged.
//
// Gives   a relay for an output that is over its current; a diode across a coil whose energy is too much for
//         the output that lets it go; an earth of its own for a sensor that others shift; a pull-up for an
//         input that has none. Each with the
//         checks as they then stand.
// Needs   a graft whose plan states every size, as the design chose them
// Cost    one design without remedies and sizes for each
#pragma once

#include <vector>

#include "design/design.h"

namespace loomgraft::design {

std::vector<Remedy> remedies_for(const Graft& graft, const CircuitDesign& circuit);

}  // namespace loomgraft::design
