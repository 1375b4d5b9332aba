#include "http/refusal.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/problem_json.h"

namespace loomgraft {

int status_of(const Problems& problems) {
  for (const Problem& problem : problems) {
    if (problem.severity != Severity::error) continue;
    return problem.code.http_status();
  }
  return 400;
}

std::string text_of(const nlohmann::json& json) {
  return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string text_of(const nlohmann::ordered_json& json) {
  return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

Answer json_answer(const nlohmann::ordered_json& json, int status) {
  Answer answer;
  answer.status = status;
  answer.body = text_of(json);
  return answer;
}

Answer refuse(const Problems& problems) {
  return json_answer({{"problems", problems_json(problems)}}, status_of(problems));
}

Answer refuse(int status, Problem problem) {
  return json_answer({{"problems", problems_json({std::move(problem)})}}, status);
}

Answer refuse(int status, ProblemCode code, std::string message, std::string remedy) {
  return refuse(status, Problem{Severity::error, code, {}, std::move(message), std::move(remedy)});
}

Answer refuse_large(std::size_t most_bytes) {
  return refuse(413, "too-large", fmt::format("More than {} KiB is not taken here.", most_bytes >> 10U),
                "Send less: cut out the part that matters, or make the picture smaller.");
}

Answer refuse_for_memory() {
  return refuse(503, "no-memory", "There is not enough memory for this on this computer.",
                "Close other programs, or ask for less at once. Nothing was changed.");
}

}  // namespace loomgraft
