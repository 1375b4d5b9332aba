// The gatekeeper of the document: everything that a stage relies on, checked once.
//
// Gives   a Problem with its JSON pointer for each thing that is wrong: ids used twice, references
//         to nothing, cavities that the connector does not have, two terminals in one cavity, sizes that
//         cannot be, a connector whose view is not stated, plan steps that do not fit
// Fails   never; an empty document is valid
// Cost    n log n in the size of the document
#pragma once

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

struct ForbiddenParts;

Problems validate(const Graft& graft);
// The same for a caller who knows what is forbidden in this graft.
Problems validate(const Graft& graft, const ForbiddenParts& forbidden);

}  // namespace loomgraft
