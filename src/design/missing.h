// Facts without which a circuit is not judged: where a wire ends, what it feeds, how long it is, and every value that the
// document has wrong.
#pragma once

#include <vector>

#include "design/design.h"
#include "design/sizing_run.h"

namespace loomgraft::design {

std::vector<Missing> missing_facts(const SizingRun& run, const AlteredCircuit& circuit);
// What volts a part that the plan adds is made for, and what an electronic one withstands: one for a part.
std::vector<Missing> unstated_ratings(const SizingRun& run);
// Each problem of severity error: while there is one nothing passes.
std::vector<Missing> wrong_values(const Problems& problems);

}  // namespace loomgraft::design
