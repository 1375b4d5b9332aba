#include "cli/network_options.h"

#include "cli/graft_file.h"
#include "network/condition_text.h"

namespace loomgraft::cli {

void add_network_options(CLI::App& command, NetworkCall& call) {
  command.add_option("graft", call.graft, "a graft document")->required();
  command.add_option("--condition", call.condition,
                     "a condition of the document, or off, on, crank, or facts such as key=on,work=S1");
  command.add_option("--corner", call.corner, "nominal, weakest or strongest")
      ->check(CLI::IsMember({"nominal", "weakest", "strongest"}));
  command.add_flag("--as-found", call.as_found, "the loom before the plan, with the found module");
}

std::optional<ReadyNetwork> ready_network(const NetworkCall& call, Problems& problems) {
  auto graft = read_graft_file(call.graft, problems);
  if (!graft) return std::nullopt;
  auto condition = condition_of(*graft, call.condition);
  if (!condition) {
    problems.push_back(condition.error());
    return std::nullopt;
  }
  ReadyNetwork ready;
  ready.condition = std::move(*condition);
  ready.options.loom_state = call.as_found ? LoomState::as_found : LoomState::as_planned;
  ready.options.corner = corner_of(call.corner).value_or(Corner::nominal);
  ready.network = network_of(*graft, ready.condition, ready.options);
  const Problems& built = ready.network.problems;
  problems.insert(problems.end(), built.begin(), built.end());
  auto solution = solve(ready.network);
  if (!solution) {
    problems.push_back(solution.error());
    return std::nullopt;
  }
  ready.solution = std::move(*solution);
  ready.graft = std::move(*graft);
  const Problems& solved = ready.solution.problems;
  problems.insert(problems.end(), solved.begin(), solved.end());
  return ready;
}

}  // namespace loomgraft::cli
