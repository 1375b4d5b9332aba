// What comes of each fault if power meets it.
//
// Model   two conditions: everything on; everything at rest with the key off. Fuses that a fault overloads blow one
//         after the other; what is left then counts, and what broke before
// Gives   Fault::harm, the worst of both
// Fails   never; where `stop` asks for it on the way, some faults are left ungraded
#pragma once

#include <stop_token>
#include <vector>

#include "loom/graft.h"
#include "network/faults.h"

namespace loomgraft {

void judge_harm(const Graft& graft, std::vector<Fault>& faults, const std::stop_token& stop = {});

}  // namespace loomgraft
