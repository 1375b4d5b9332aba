// A proof as JSON: docs/api.md.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "prove/prove.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const ProveReport& report);

}  // namespace loomgraft
