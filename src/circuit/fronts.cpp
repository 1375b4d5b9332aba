// Eliminates all fronts in turn, and computes the resistances within their pattern.
#include <algorithm>
#include <map>

#include "circuit/front_work_internal.h"

namespace loomgraft {

using namespace circuit;
namespace {

void substitute_all(const FrontTree& tree, Fronts& fronts) {
  fronts.potential.assign(tree.count + 1, 0.0);
  for (Position k = tree.count; k-- > 0;) {
    double sum = fronts.moved[k];
    for (std::uint32_t i = tree.row[k]; i + 1 < tree.row[k + 1]; ++i)
      sum += fronts.share[i] * fronts.potential[tree.to[i]];
    fronts.potential[k] = sum;
  }
}

}  // namespace

Fronts factor(const FrontTree& tree, std::span<const NodalBranch> branches,
              std::span<const double> injected) {
  Fronts fronts;
  fronts.branches.assign(branches.begin(), branches.end());
  fronts.injected.assign(tree.count + 1, 0.0);
  for (std::size_t node = 1; node < injected.size(); ++node)
    fronts.injected[tree.position[node]] = injected[node];
  fronts.original.assign(tree.to.size(), {});
  for (std::size_t k = 0; k < branches.size(); ++k) {
    if (tree.branch_cell[k] == no_cell) continue;
    const NodalCell cell = cell_of(branches[k], tree.branch_reversed[k]);
    fronts.original[tree.branch_cell[k]].conductance += cell.conductance;
    fronts.original[tree.branch_cell[k]].drive += cell.drive;
  }
  fronts.share.resize(tree.to.size());
  fronts.handed.resize(tree.to.size());
  fronts.each.resize(tree.count);
  fronts.moved.resize(tree.count);
  fronts.update.resize(tree.first_update[tree.count]);
  std::vector<NodalCell> cells;
  std::vector<double> currents;
  std::map<Position, std::vector<NodalCell>> wide;  // until its parent has taken them up
  for (Position k = 0; k < tree.count; ++k) {
    const std::size_t width = tree.width(k);
    FrontWork work = resize_front(cells, currents, width + 1);
    std::copy_n(fronts.original.begin() + tree.row[k], width, work.front);
    work.currents[0] = fronts.injected[k];
    for (std::uint32_t c = tree.first_child[k]; c < tree.first_child[k + 1]; ++c) {
      const Position child = tree.children[c];
      add_child(tree, child,
                tree.is_kept(child) ? fronts.update.data() + tree.first_update[child] : wide[child].data(),
                fronts.handed.data() + tree.row[child], work, width + 1);
      if (!tree.is_kept(child)) wide.erase(child);
    }
    work.share = fronts.share.data() + tree.row[k];
    work.handed = fronts.handed.data() + tree.row[k];
    if (!tree.is_kept(k)) wide[k].resize(pairs_of(width));
    work.update = tree.is_kept(k) ? fronts.update.data() + tree.first_update[k] : wide[k].data();
    const Own own = eliminate_front(work, width);
    fronts.each[k] = own.each;
    fronts.moved[k] = own.moved;
  }
  substitute_all(tree, fronts);
  return fronts;
}

namespace {

// Among the row of `k`, each known to its parent.
void gather_pairs(const FrontTree& tree, Position k, std::span<const double> resistance, double* pairs) {
  const Position parent = tree.parent[k];
  const std::size_t width = tree.width(k);
  const std::uint32_t* index = tree.in_parent.data() + tree.row[k];
  const double* above = pairs - tree.first_update[k] + tree.first_update[parent];
  double* pair = pairs;
  for (std::size_t j = 1; j < width; ++j) *pair++ = resistance[tree.row[parent] + index[j] - 1];
  for (std::size_t i = 1; i < width; ++i) {
    for (std::size_t j = i + 1; j < width; ++j)
      *pair++ = above[pair_cell(index[i] - 1, index[j] - 1, tree.width(parent))];
  }
}

}  // namespace

std::vector<double> pair_resistances(const FrontTree& tree, const Fronts& fronts) {
  for (Position k = 0; k < tree.count; ++k) {
    if (!tree.is_kept(k)) return {};
  }
  std::vector<double> resistance(tree.to.size());
  std::vector<double> pairs(tree.first_update[tree.count]);
  for (Position k = tree.count; k-- > 0;) {
    const std::size_t width = tree.width(k);
    double* own = pairs.data() + tree.first_update[k];
    double* to = resistance.data() + tree.row[k];
    const double* share = fronts.share.data() + tree.row[k];
    if (tree.parent[k] < tree.count) gather_pairs(tree, k, resistance, own);
    // An ampere into k continues to its row in shares, so its resistance follows from those between the row's
    // nodes.
    double spread = 0.0;
    std::fill_n(to, width, fronts.each[k]);
    for (std::size_t i = 0; i + 1 < width; ++i) {
      for (std::size_t j = i + 1; j < width; ++j, ++own) {
        to[i] += share[j] * *own;
        to[j] += share[i] * *own;
        spread += share[i] * share[j] * *own;
      }
    }
    for (std::size_t i = 0; i < width; ++i) to[i] -= spread;
  }
  return resistance;
}

}  // namespace loomgraft
