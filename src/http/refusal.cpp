#include "http/refusal.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/problem_json.h"

namespace loomgraft {
namespace {

struct CodeStatus {
  std::string_view code;
  int status;
};

// Statuses as RFC 9110, section 15, and RFC 4918, section 11.5, name them.
constexpr CodeStatus statuses[] = {
    {"not-found", 404},
    {"no-such-module", 404},
    {"no-such-connector", 404},
    {"no-such-wire", 404},
    {"no-such-job", 404},
    {"no-such-condition", 404},
    {"file-exists", 409},
    {"changed-meanwhile", 409},
    {"id-taken", 409},
    {"nothing-to-undo", 409},
    {"nothing-to-redo", 409},
    {"stopped", 409},
    {"removed", 410},
    {"no-such-revision", 412},
    {"stale-revision", 412},
    {"too-large", 413},
    {"disk-full", 507},
    {"read-only", 403},
    {"busy", 503},
    {"not-written", 500},
    {"damaged", 500},
    {"not-a-graft-file", 500},
    {"newer-file", 500},
    {"no-plan-wires", 409},
};

}  // namespace

int status_of(const Problems& problems) {
  for (const Problem& problem : problems) {
    if (problem.severity != Severity::error) continue;
    const auto* found = std::find_if(std::begin(statuses), std::end(statuses),
                                     [&](const CodeStatus& row) { return row.code == problem.code; });
    return found == std::end(statuses) ? 400 : found->status;
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

Answer refuse(int status, std::string code, std::string message, std::string remedy) {
  return refuse(status, Problem{Severity::error, std::move(code), {}, std::move(message), std::move(remedy)});
}

Answer refuse_large(std::size_t most_bytes) {
  return refuse(413, "too-large", fmt::format("More than {} KiB is not taken here.", most_bytes >> 10U),
                "Send less: cut out the part that matters, or make the picture smaller.");
}

}  // namespace loomgraft
