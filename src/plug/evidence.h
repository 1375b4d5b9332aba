// From an observation as a person gave it to evidence for the likelihood: checked, merged, with what cannot
// be used named.
//
// Gives   one item for each position; what a person says twice of one position counts once
// Fails   an item that contradicts itself or another one of its position, or says nothing, is a Problem and
//         is left out
#pragma once

#include "plug/likelihood.h"

namespace loomgraft::plug {

PlugEvidence evidence_of(const Observation& observation, Problems& problems);

}  // namespace loomgraft::plug
