// What a design takes for granted that the document does not state, and what depends on it: beside what the network assumes,
// the supply, the battery, the insides of modules, the air and the insulation of added wires, fuses and further sources.
#pragma once

#include <vector>

#include "design/sizing_run.h"

namespace loomgraft::design {

std::vector<Assumption> design_assumptions(const SizingRun& run);

}  // namespace loomgraft::design
