// The check report as JSON (schema/check.schema.json): problems, and what waits for an answer about its safety.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

// Null: the document could not be read.
nlohmann::ordered_json check_json(const Graft* graft, const Problems& problems);

}  // namespace loomgraft
