// The comparison as JSON (docs/api.md lists the members).
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "compare/compare.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const CompareReport& report);

}  // namespace loomgraft
