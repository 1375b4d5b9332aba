// A Problem as JSON, the form in which every report gives it out.
//
// Gives   {"severity": "warning", "code", "file", "line", "column", "message", "remedy"}, and "pointer" where
//         the place is in a document rather than in a text; "place" where it is in a sheet or on a page
#pragma once

#include <nlohmann/json.hpp>

#include "base/problem.h"

namespace loomgraft {

nlohmann::json problem_json(const Problem& problem);
nlohmann::json problems_json(const Problems& problems);

}  // namespace loomgraft
