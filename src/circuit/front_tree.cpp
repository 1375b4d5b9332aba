// The tree of fronts and the cell of each branch in it; they depend on the ends of the branches only.
#include <algorithm>
#include <limits>
#include <numeric>
#include <utility>

#include "circuit/front_work_internal.h"

namespace loomgraft {

using namespace circuit;
namespace {

void find_children(FrontTree& tree) {
  const Position n = tree.count;
  tree.parent.resize(n);
  tree.first_child.assign(n + 1, 0);
  for (Position k = 0; k < n; ++k) {
    tree.parent[k] = tree.to[tree.row[k]];
    if (tree.parent[k] < n) ++tree.first_child[tree.parent[k] + 1];
  }
  for (Position k = 0; k < n; ++k) tree.first_child[k + 1] += tree.first_child[k];
  tree.children.resize(tree.first_child[n]);
  std::vector<std::uint32_t> next(tree.first_child.begin(), tree.first_child.end() - 1);
  for (Position k = 0; k < n; ++k) {
    if (tree.parent[k] < n) tree.children[next[tree.parent[k]]++] = k;
  }
}

// Any order with children before parents fills the same cells. The deepest go first, so that consecutive
// positions are independent of each other and a processor need not wait for one to do the next.
void order_by_depth(FrontTree& tree) {
  const Position n = tree.count;
  std::vector<std::uint32_t> depth(n + 1, 0);
  for (Position k = n; k-- > 0;) depth[k] = depth[tree.to[tree.row[k]]] + 1;
  std::vector<Position> order(n);
  std::iota(order.begin(), order.end(), Position{0});
  std::stable_sort(order.begin(), order.end(), [&](Position x, Position y) { return depth[x] > depth[y]; });
  std::vector<Position> now(n + 1, n);
  for (Position k = 0; k < n; ++k) now[order[k]] = k;
  std::vector<std::uint32_t> row{0};
  std::vector<Position> to;
  row.reserve(n + 1);
  to.reserve(tree.to.size());
  for (const Position old : order) {
    for (std::uint32_t i = tree.row[old]; i < tree.row[old + 1]; ++i) to.push_back(now[tree.to[i]]);
    std::sort(to.begin() + row.back(), to.end());
    row.push_back(static_cast<std::uint32_t>(to.size()));
  }
  for (Position& position : tree.position) position = now[position];
  tree.row = std::move(row);
  tree.to = std::move(to);
}

// Index 0 of a front is its own node, the others follow its row.
void find_places_in_parents(FrontTree& tree) {
  tree.in_parent.assign(tree.to.size(), 0);
  for (Position k = 0; k < tree.count; ++k) {
    const Position parent = tree.parent[k];
    if (parent == tree.count) continue;
    std::uint32_t at = tree.row[parent];
    for (std::uint32_t i = tree.row[k] + 1; i < tree.row[k + 1]; ++i) {
      while (tree.to[at] != tree.to[i]) ++at;
      tree.in_parent[i] = at - tree.row[parent] + 1;
    }
  }
}

void weigh(FrontTree& tree) {
  tree.first_update.assign(tree.count + 1, 0);
  tree.path_cost.assign(tree.count + 1, 0.0);
  for (Position k = 0; k < tree.count; ++k)
    tree.first_update[k + 1] = tree.first_update[k] + (tree.is_kept(k) ? pairs_of(tree.width(k)) : 0);
  for (Position k = tree.count; k-- > 0;) {
    double work = static_cast<double>(pairs_of(tree.width(k)) + tree.width(k));
    for (std::uint32_t c = tree.first_child[k]; c < tree.first_child[k + 1]; ++c) {
      const Position child = tree.children[c];
      work += tree.is_kept(child) ? static_cast<double>(pairs_of(tree.width(child)))
                                  : std::numeric_limits<double>::infinity();
    }
    tree.path_cost[k] = work + tree.path_cost[tree.parent[k]];
  }
}

void place_branches(FrontTree& tree, std::span<const NodalBranch> branches) {
  tree.branch_cell.assign(branches.size(), no_cell);
  tree.branch_reversed.assign(branches.size(), false);
  tree.branch_home.assign(branches.size(), tree.count);
  tree.first_branch.assign(tree.to.size() + 1, 0);
  for (std::size_t k = 0; k < branches.size(); ++k) {
    const Position a = tree.position[branches[k].a];
    const Position b = tree.position[branches[k].b];
    if (a == b) continue;
    const Position early = std::min(a, b);
    const auto begin = tree.to.begin() + tree.row[early];
    const auto end = tree.to.begin() + tree.row[early + 1];
    tree.branch_home[k] = early;
    tree.branch_reversed[k] = a > b;
    tree.branch_cell[k] =
        static_cast<std::uint32_t>(std::lower_bound(begin, end, std::max(a, b)) - tree.to.begin());
    ++tree.first_branch[tree.branch_cell[k] + 1];
  }
  for (std::size_t c = 0; c < tree.to.size(); ++c) tree.first_branch[c + 1] += tree.first_branch[c];
  tree.cell_branches.resize(tree.first_branch.back());
  std::vector<std::uint32_t> next(tree.first_branch.begin(), tree.first_branch.end() - 1);
  for (std::size_t k = 0; k < branches.size(); ++k) {
    if (tree.branch_cell[k] != no_cell)
      tree.cell_branches[next[tree.branch_cell[k]]++] = static_cast<std::uint32_t>(k);
  }
}

}  // namespace

FrontTree front_tree_of(std::span<const NodalBranch> branches, std::uint32_t node_count) {
  NodalPattern pattern = rows_of(branches, node_count);
  FrontTree tree;
  tree.count = node_count - 1;
  tree.position = std::move(pattern.position);
  tree.row = std::move(pattern.row);
  tree.to = std::move(pattern.to);
  order_by_depth(tree);
  find_children(tree);
  find_places_in_parents(tree);
  weigh(tree);
  place_branches(tree, branches);
  return tree;
}

}  // namespace loomgraft
