#include "design/feed_path.h"

#include <set>

namespace loomgraft::design {
namespace {

constexpr double least_current = 1e-9;

struct Candidate {
  std::size_t branch = 0;
  NodeId next;
  double current = 0.0;
};

// The current of a branch into `node` (upstream) or out of it (downstream).
Candidate candidate(const TrialRun& run, const NetworkSolution& solution, std::size_t index, NodeId node,
                    Walk walk) {
  const NetworkBranch& branch = run.network.branches[index];
  const double from_a = branch_current(run.network, solution, index).si;
  const bool at_a = branch.a == node;
  const double out = at_a ? from_a : -from_a;
  return {index, at_a ? branch.b : branch.a, walk == Walk::upstream ? -out : out};
}

}  // namespace

std::vector<PathStep> feed_path(const TrialRun& run, NodeId from, Walk walk) {
  return feed_path(run, run.solution, from, walk);
}

std::vector<PathStep> feed_path(const TrialRun& run, const NetworkSolution& solution, NodeId from,
                                Walk walk) {
  const auto volts = [&](NodeId node) { return solution.point.nodes[node.value].si; };
  std::vector<PathStep> path;
  std::set<std::uint32_t> seen{from.value};
  for (NodeId node = from;;) {
    Candidate best;
    for (const std::size_t index : run.index->at_node[node.value]) {
      if (run.network.branches[index].kind == BranchKind::leakage) continue;
      const Candidate next = candidate(run, solution, index, node, walk);
      if (next.current > best.current) best = next;
    }
    if (best.current < least_current) return path;
    const double drop =
        walk == Walk::upstream ? volts(best.next) - volts(node) : volts(node) - volts(best.next);
    path.push_back({best.branch, {best.current}, {drop}});
    const BranchKind kind = run.network.branches[best.branch].kind;
    if (kind == BranchKind::supply || !seen.insert(best.next.value).second) return path;
    node = best.next;
  }
}

bool is_conductor(BranchKind kind) {
  return kind == BranchKind::wire || kind == BranchKind::contact || kind == BranchKind::joint ||
         kind == BranchKind::fuse;
}

Volts conductor_drop(const TrialRun& run, const std::vector<PathStep>& path) {
  Volts total;
  for (const PathStep& step : path) {
    if (is_conductor(run.network.branches[step.branch].kind)) total = total + step.drop;
  }
  return total;
}

}  // namespace loomgraft::design
