// The ranking of donors as JSON (docs/api.md lists the members).
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "donor/rank.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const RankReport& report, const Problems& problems);

}  // namespace loomgraft
