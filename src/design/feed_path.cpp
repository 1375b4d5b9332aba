#include "design/feed_path.h"

#include <algorithm>

namespace loomgraft::design {
namespace {

constexpr double smallest_current = 1e-9;  // amperes: rounding of the solver

struct Candidate {
  std::size_t branch = 0;
  NodeId next;
  double current = 0.0;
};

// The current of a branch into `node` (upstream) or out of it (downstream).
Candidate candidate(const LoadCase& load_case, const NetworkSolution& solution, std::size_t index,
                    NodeId node, Walk walk) {
  const NetworkBranch& branch = load_case.network.branches[index];
  const double from_a = branch_current(load_case.network, solution, index).si;
  const bool at_a = branch.a == node;
  const double out = at_a ? from_a : -from_a;
  return {index, at_a ? branch.b : branch.a, walk == Walk::upstream ? -out : out};
}

}  // namespace

std::vector<PathStep> feed_path(const LoadCase& load_case, NodeId from, Walk walk) {
  return feed_path(load_case, load_case.solution, from, walk);
}

std::vector<PathStep> feed_path(const LoadCase& load_case, const NetworkSolution& solution, NodeId from,
                                Walk walk) {
  const auto volts = [&](NodeId node) { return solution.point.nodes[node.value].si; };
  std::vector<PathStep> path;
  std::vector<NodeId> seen{from};  // a path is short
  for (NodeId node = from;;) {
    Candidate best;
    for (const std::size_t index : load_case.index->at_node[node.value]) {
      if (load_case.network.branches[index].kind == BranchKind::leakage) continue;
      const Candidate next = candidate(load_case, solution, index, node, walk);
      if (next.current > best.current) best = next;
    }
    if (best.current < smallest_current) return path;
    const double drop =
        walk == Walk::upstream ? volts(best.next) - volts(node) : volts(node) - volts(best.next);
    path.push_back({best.branch, {best.current}, {drop}});
    const BranchKind kind = load_case.network.branches[best.branch].kind;
    if (kind == BranchKind::supply || std::ranges::find(seen, best.next) != seen.end()) return path;
    seen.push_back(best.next);
    node = best.next;
  }
}

bool is_conductor(BranchKind kind) {
  return kind == BranchKind::wire || kind == BranchKind::contact || kind == BranchKind::joint ||
         kind == BranchKind::fuse;
}

Volts conductor_drop(const LoadCase& load_case, const std::vector<PathStep>& path) {
  Volts total;
  for (const PathStep& step : path) {
    if (is_conductor(load_case.network.branches[step.branch].kind)) total = total + step.drop;
  }
  return total;
}

}  // namespace loomgraft::design
