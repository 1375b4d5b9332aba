// Problems as answers.
//
// Model   the HTTP status of a code stands in base/problem_codes.h
// Gives   {"problems":[...]} with the status of the first problem that is an error
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "base/problem.h"
#include "http/call.h"

namespace loomgraft {

int status_of(const Problems& problems);

Answer refuse(const Problems& problems);
Answer refuse(int status, Problem problem);
Answer refuse(int status, ProblemCode code, std::string message, std::string remedy);
Answer refuse_large(std::size_t most_bytes);
Answer refuse_for_memory();

// Text that is not UTF-8 is written with replacement characters, never an error.
std::string text_of(const nlohmann::json& json);
std::string text_of(const nlohmann::ordered_json& json);

Answer json_answer(const nlohmann::ordered_json& json, int status = 200);

}  // namespace loomgraft
