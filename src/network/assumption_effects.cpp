#include "network/assumption_effects.h"

#include <algorithm>
#include <cmath>

namespace loomgraft {
namespace {

Problem nothing_to_watch(const Watch& watch) {
  const std::string what = watch.subject.empty() ? watch.at.at + " " + watch.at.cavity : watch.subject;
  return {Severity::error,
          "nothing-to-watch",
          {},
          "The network has nothing at \"" + what + "\".",
          "Name a cavity or terminal that holds a wire, or a branch that stands in the network."};
}

std::optional<std::size_t> branch_of(const LoomNetwork& network, const Watch& watch) {
  const auto found = std::ranges::find_if(network.branches, [&](const NetworkBranch& branch) {
    return branch.kind == watch.kind && branch.subject == watch.subject;
  });
  if (found == network.branches.end()) return std::nullopt;
  return static_cast<std::size_t>(found - network.branches.begin());
}

tl::expected<double, Problem> reading(LoomNetwork& network, const Watch& watch) {
  const auto node = watch.module_side ? inner_node_at(network, watch.at) : node_at(network, watch.at);
  const auto branch = branch_of(network, watch);
  if (watch.subject.empty() ? !node : !branch) return tl::unexpected(nothing_to_watch(watch));
  auto solution = solve(network);
  if (!solution) return tl::unexpected(solution.error());
  if (watch.subject.empty()) return solution->point.nodes[node->value].si;
  return branch_current(network, *solution, *branch).si;
}

// Nobody would measure a fact that moves the reading by a microvolt or a microampere.
constexpr double worth_telling = 1e-6;

}  // namespace

tl::expected<std::vector<AssumptionEffect>, Problem> assumption_effects(const Graft& graft,
                                                                        const Condition& condition,
                                                                        const NetworkOptions& options,
                                                                        const Watch& watch) {
  const std::shared_ptr<const LoomFrame> frame = frame_of(graft, options.loom_state);
  LoomNetwork plain = network_of(*frame, condition, options);
  if (auto now = reading(plain, watch); !now) return tl::unexpected(now.error());
  std::vector<AssumptionEffect> effects;
  for (const Assumption& assumption : plain.assumptions) {
    AssumptionEffect effect{assumption, 0.0, 0.0};
    for (const Corner corner : {Corner::weakest, Corner::strongest}) {
      NetworkOptions turned = options;
      turned.one = OneCorner{assumption.subject, assumption.quantity, corner};
      LoomNetwork network = network_of(*frame, condition, turned);
      const auto value = reading(network, watch);
      if (!value) return tl::unexpected(value.error());
      (corner == Corner::weakest ? effect.weakest : effect.strongest) = *value;
    }
    if (std::abs(effect.weakest - effect.strongest) > worth_telling) effects.push_back(std::move(effect));
  }
  std::ranges::stable_sort(effects, std::ranges::greater{}, [](const AssumptionEffect& effect) {
    return std::abs(effect.weakest - effect.strongest);
  });
  return effects;
}

}  // namespace loomgraft
