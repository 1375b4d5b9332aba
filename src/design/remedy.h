// Changes that make a check pass where no size can: each is made on a copy of the graft and designed again.
//
// Gives   a relay for an output above its current limit; a diode across a coil whose turn-off energy is too much
//         for its output; an earth of its own for a sensor whose earth others shift; a pull-up for an input that
//         has none. Each with the checks of the changed design.
// Needs   a graft whose plan states every size, as the design chose them
// Cost    one design without remedies for each
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "design/design.h"

namespace loomgraft::design {

std::vector<Remedy> remedies_for(const Graft& graft, const CircuitDesign& circuit);

// The graft with one of its remedies carried out, named as the report names it: its kind and its subject's id. Sizes of the
// new wires stay open. Nothing where the design offers no such remedy.
std::optional<Graft> with_remedy(const Graft& graft, std::string_view kind, std::string_view subject);

}  // namespace loomgraft::design
