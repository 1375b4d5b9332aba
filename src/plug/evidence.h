// From a glimpse as a person gave it to evidence that can be counted: checked, merged, and complained about.
//
// Gives   one look for each place; what a person says twice of one place counts once
// Fails   a sighting that contradicts itself or another one of its place, or says nothing, is a Problem and
//         is left out
#pragma once

#include "plug/likelihood.h"

namespace loomgraft::plug {

PlugEvidence evidence_of(const Glimpse& glimpse, Problems& problems);

}  // namespace loomgraft::plug
