// A search report as JSON: docs/api.md.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "prove/find.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const FindReport& report, const Proof& proof);

}  // namespace loomgraft
