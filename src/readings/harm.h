// How much harm each fault does if power meets it.
//
// Model   two conditions: everything on; everything at rest with the key off. Fuses that a fault overloads
//         blow one after the other; what remains after that counts, and what broke before
// Needs   the frame of the planned loom, in which the faults were found
// Gives   Fault::harm, the worse of the two
// Fails   never; if `stop` asks for it, some faults are left without a grade
#pragma once

#include <vector>

#include "base/stop.h"
#include "network/faults.h"

namespace loomgraft {

void judge_harm(const LoomFrame& frame, std::vector<Fault>& faults, const StopToken& stop = {});

}  // namespace loomgraft
