// What was read from a file, as JSON (the output of the command that reads pin tables).
#pragma once

#include <nlohmann/json.hpp>

#include "gather/read_tables.h"

namespace loomgraft {

nlohmann::json to_json(const ReadReport& report);

}  // namespace loomgraft
