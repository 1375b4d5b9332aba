#include "network/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/problem_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

// A nanovolt and a nanoampere are below anything a meter shows.
Json figure(double value) {
  if (!std::isfinite(value)) return {};
  const double rounded = std::round(value * 1e9) / 1e9;
  return rounded == 0.0 ? 0.0 : rounded;
}

Json node_json(const LoomNetwork& network, const NetworkSolution& solution, std::size_t node) {
  const NetworkNode& item = network.nodes[node];
  return {{"node", node},
          {"name", item.name},
          {"at", item.at.at},
          {"terminal", item.at.cavity},
          {"module_side", item.module_side},
          {"volts_v", figure(solution.point.nodes[node].si)}};
}

Json branch_json(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch) {
  const NetworkBranch& item = network.branches[branch];
  Json json{{"kind", name_of(item.kind)},
            {"subject", item.subject},
            {"name", item.name},
            {"a", item.a.value},
            {"b", item.b.value},
            {"current_a", figure(branch_current(network, solution, branch).si)},
            {"power_w", figure(branch_power(network, solution, branch).si)}};
  if (item.rating) {
    json["rating_a"] = figure(item.rating->si);
    json["overloaded"] = is_overloaded(network, solution, branch);
  }
  return json;
}

Json relay_json(const NetworkRelay& relay, RelayPosition position, const OperatingPoint& point) {
  const Volts across = point.nodes[relay.coil_a.value] - point.nodes[relay.coil_b.value];
  return {{"device", relay.device},
          {"position", name_of(position)},
          {"coil_v", figure(std::abs(across.si))},
          {"pull_in_v", figure(relay.pull_in.si)},
          {"release_v", figure(relay.release.si)}};
}

}  // namespace

const char* name_of(BranchKind kind) {
  constexpr const char* names[] = {"wire",  "contact", "joint", "fuse",   "consumer", "contacts",
                                   "diode", "sensor",  "pin",   "supply", "leakage",  "meter"};
  return names[static_cast<int>(kind)];
}

const char* name_of(RelayPosition position) {
  constexpr const char* names[] = {"at rest", "pulled in", "oscillating"};
  return names[static_cast<int>(position)];
}

const char* name_of(Corner corner) {
  constexpr const char* names[] = {"nominal", "weakest", "strongest"};
  return names[static_cast<int>(corner)];
}

const char* name_of(LoomState loom_state) {
  return loom_state == LoomState::as_found ? "as found" : "as planned";
}

Json network_json(const LoomNetwork& network, const NetworkSolution& solution) {
  Json nodes = Json::array();
  for (std::size_t k = 0; k < network.nodes.size(); ++k) nodes.push_back(node_json(network, solution, k));
  Json branches = Json::array();
  for (std::size_t k = 0; k < network.branches.size(); ++k) {
    if (network.branches[k].kind != BranchKind::leakage)
      branches.push_back(branch_json(network, solution, k));
  }
  Json relays = Json::array();
  for (std::size_t k = 0; k < network.relays.size(); ++k)
    relays.push_back(relay_json(network.relays[k], solution.relays[k], solution.point));
  Json assumptions = Json::array();
  for (const Assumption& item : network.assumptions)
    assumptions.push_back(
        {{"subject", item.subject}, {"quantity", item.quantity}, {"value", item.value}, {"why", item.why}});
  Problems problems = network.problems;
  problems.insert(problems.end(), solution.problems.begin(), solution.problems.end());
  return {{"nodes", nodes},
          {"branches", branches},
          {"relays", relays},
          {"assumptions", assumptions},
          {"problems", problems_json(problems)}};
}

}  // namespace loomgraft
