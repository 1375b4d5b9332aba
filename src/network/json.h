// A solved network as JSON: nodes with volts, branches with amperes and watts, relays, what was assumed.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "network/loom_network.h"

namespace loomgraft {

const char* name_of(BranchKind kind);
const char* name_of(RelayPosition position);
const char* name_of(Corner corner);
const char* name_of(LoomState loom_state);

nlohmann::ordered_json network_json(const LoomNetwork& network, const NetworkSolution& solution);

}  // namespace loomgraft
