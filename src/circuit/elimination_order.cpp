// The elimination order. A node with one neighbour fills nothing, one with two fills one branch: eliminating
// those first is what minimum degree would do, at a fraction of its cost. A loom leaves a small core for AMD.
#include <suitesparse/amd.h>

#include <algorithm>
#include <iterator>

#include "base/bug.h"
#include "circuit/pattern.h"

namespace loomgraft {
namespace {

using Edge = std::pair<std::uint32_t, std::uint32_t>;
constexpr std::uint32_t none = 0xffffffff;

// A branch as seen from one end. `mate` is the same branch from the other end.
struct Half {
  std::uint32_t to = none;  // none: gone
  std::uint32_t mate = none;
};

struct Core {
  std::vector<std::uint32_t> first;  // by node, one more at the end: its halves
  std::vector<Half> halves;
  std::vector<std::uint32_t> degree;  // parallel branches count each
  std::vector<bool> gone;
  std::vector<std::uint32_t> order;
  std::vector<std::uint32_t> waiting;
  std::vector<std::uint32_t> touched;  // by node: the last round in which a neighbour was taken
  std::uint32_t round = 0;
};

void lay_out(Core& core, std::span<const Edge> edges) {
  const std::size_t count = core.gone.size();
  core.degree.assign(count, 0);
  for (const auto& [a, b] : edges) {
    ++core.degree[a];
    ++core.degree[b];
  }
  core.first.assign(count + 1, 0);
  for (std::size_t node = 0; node < count; ++node)
    core.first[node + 1] = core.first[node] + core.degree[node];
  core.halves.assign(core.first[count], {});
  std::vector<std::uint32_t> next(core.first.begin(), core.first.end() - 1);
  for (const auto& [a, b] : edges) {
    const std::uint32_t at_a = next[a]++;
    const std::uint32_t at_b = next[b]++;
    core.halves[at_a] = {b, at_b};
    core.halves[at_b] = {a, at_a};
  }
}

void loosen(Core& core, std::uint32_t node, std::uint32_t branches) {
  core.degree[node] -= branches;
  if (core.degree[node] <= 2) core.waiting.push_back(node);
}

void take(Core& core, std::uint32_t node) {
  std::uint32_t found[2] = {none, none};
  std::size_t count = 0;
  for (std::uint32_t at = core.first[node]; at < core.first[node + 1]; ++at) {
    if (core.halves[at].to != none) found[count++] = at;
  }
  core.gone[node] = true;
  core.order.push_back(node);
  for (std::size_t k = 0; k < count; ++k) core.touched[core.halves[found[k]].to] = core.round;
  if (count == 0) return;
  Half& one = core.halves[found[0]];
  Half& other = core.halves[found[count - 1]];
  Half& back = core.halves[one.mate];
  if (count == 2 && one.to != other.to) {
    // The two branches become one that joins both neighbours; their degrees stay.
    Half& far = core.halves[other.mate];
    const Half joined{other.to, other.mate};
    far = {one.to, one.mate};
    back = joined;
    return;
  }
  core.halves[other.mate].to = none;
  back.to = none;
  loosen(core, one.to, static_cast<std::uint32_t>(count));
}

void take_thin_nodes(Core& core) {
  for (std::uint32_t node = static_cast<std::uint32_t>(core.gone.size()); node-- > 1;) {
    if (!core.gone[node] && core.degree[node] <= 2) core.waiting.push_back(node);
  }
  // In rounds, never two neighbours in one: a chain is eliminated in as many rounds as its length has
  // binary digits, so no node has many others to wait for.
  std::vector<std::uint32_t> batch;
  while (!core.waiting.empty()) {
    batch.swap(core.waiting);
    core.waiting.clear();
    ++core.round;
    for (const std::uint32_t node : batch) {
      if (core.gone[node]) continue;
      if (core.touched[node] == core.round) {
        core.waiting.push_back(node);
      } else {
        take(core, node);
      }
    }
  }
}

// The edges of the remaining nodes, each pair once.
std::vector<Edge> remaining_edges(const Core& core) {
  std::vector<Edge> edges;
  std::vector<std::uint32_t> marked(core.gone.size(), 0);
  for (std::uint32_t node = 1; node < core.gone.size(); ++node) {
    if (core.gone[node]) continue;
    for (std::uint32_t at = core.first[node]; at < core.first[node + 1]; ++at) {
      const std::uint32_t to = core.halves[at].to;
      if (to == none || to <= node || marked[to] == node) continue;
      marked[to] = node;
      edges.emplace_back(node, to);
    }
  }
  return edges;
}

// The remaining nodes, each with its neighbours in order.
using Neighbours = std::vector<std::vector<std::uint32_t>>;

// Eliminating a node joins each of its neighbours to every other.
void take_from(Neighbours& beside, std::uint32_t node) {
  std::vector<std::uint32_t> joined;
  for (const std::uint32_t other : beside[node]) {
    joined.clear();
    std::set_union(beside[other].begin(), beside[other].end(), beside[node].begin(), beside[node].end(),
                   std::back_inserter(joined));
    std::erase_if(joined, [&](std::uint32_t to) { return to == other || to == node; });
    beside[other].swap(joined);
  }
  beside[node].clear();
}

// Minimum degree in rounds, no two neighbours in one (multiple elimination: Liu 1985, ACM Transactions on
// Mathematical Software 11): a ladder is eliminated everywhere at once and not from its ends, so paths
// grow with the logarithm of its length. Stops when rows grow wide; AMD orders the rest.
void take_in_rounds(Core& core) {
  constexpr std::size_t wide = 16;
  Neighbours beside(core.gone.size());
  for (const auto& [a, b] : remaining_edges(core)) {
    beside[a].push_back(b);
    beside[b].push_back(a);
  }
  std::vector<std::uint32_t> left;
  for (std::uint32_t node = 1; node < core.gone.size(); ++node) {
    if (core.gone[node]) continue;
    left.push_back(node);
    std::sort(beside[node].begin(), beside[node].end());
  }
  while (!left.empty()) {
    ++core.round;
    std::size_t least = beside[left[0]].size();
    for (const std::uint32_t node : left) least = std::min(least, beside[node].size());
    if (least > wide) break;
    for (const std::uint32_t node : left) {
      if (core.touched[node] == core.round || beside[node].size() > least + 1) continue;
      for (const std::uint32_t other : beside[node]) core.touched[other] = core.round;
      take_from(beside, node);
      core.gone[node] = true;
      core.order.push_back(node);
    }
    std::erase_if(left, [&](std::uint32_t node) { return core.gone[node]; });
  }
  std::vector<Edge> edges;
  for (const std::uint32_t node : left) {
    for (const std::uint32_t other : beside[node]) {
      if (other > node) edges.emplace_back(node, other);
    }
  }
  lay_out(core, edges);
}

void order_rest(Core& core) {
  std::vector<std::uint32_t> left;
  std::vector<int> number(core.gone.size(), -1);
  for (std::uint32_t node = 1; node < core.gone.size(); ++node) {
    if (core.gone[node]) continue;
    number[node] = static_cast<int>(left.size());
    left.push_back(node);
  }
  if (left.empty()) return;
  std::vector<int> start{0};
  std::vector<int> rows;
  for (const std::uint32_t node : left) {
    for (std::uint32_t at = core.first[node]; at < core.first[node + 1]; ++at) {
      if (core.halves[at].to != none) rows.push_back(number[core.halves[at].to]);
    }
    std::sort(rows.begin() + start.back(), rows.end());
    start.push_back(static_cast<int>(rows.size()));
  }
  std::vector<int> order(left.size());
  const int status =
      amd_order(static_cast<int>(left.size()), start.data(), rows.data(), order.data(), nullptr, nullptr);
  if (status != AMD_OK && status != AMD_OK_BUT_JUMBLED) bug("amd_order refused a core");
  for (const int k : order) core.order.push_back(left[static_cast<std::size_t>(k)]);
}

}  // namespace

std::vector<std::uint32_t> elimination_order(std::span<const Edge> edges, std::uint32_t node_count) {
  Core core;
  core.gone.assign(node_count, false);
  core.touched.assign(node_count, 0);
  core.order.reserve(node_count);
  lay_out(core, edges);
  // Parallel branches hide nodes with few neighbours; merging them may uncover more, as long as it pays.
  for (std::size_t left = node_count - 1, before = 2 * left; 4 * left < 3 * before;) {
    take_thin_nodes(core);
    lay_out(core, remaining_edges(core));
    before = left;
    left = node_count - 1 - core.order.size();
  }
  take_in_rounds(core);
  order_rest(core);
  return std::move(core.order);
}

}  // namespace loomgraft
