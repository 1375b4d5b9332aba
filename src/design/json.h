// A design report as JSON: docs/api.md.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "design/design.h"
#include "design/what_if.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const DesignReport& report);
nlohmann::ordered_json to_json(const WhatIfReport& report);

}  // namespace loomgraft
