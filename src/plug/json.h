// The answer to "which plug is this" as JSON (docs/api.md lists the members), and the plugs of a module to
// ask about.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "plug/plug.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const Graft& graft, const PlugReport& report, const Problems& problems);

// The module's connectors with the wires expected in each.
std::vector<PlugCandidate> plug_candidates(const Graft& graft, const Module& module);

}  // namespace loomgraft
