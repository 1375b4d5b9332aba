#include <algorithm>
#include <limits>
#include <map>
#include <numeric>
#include <utility>

#include "network/nodal_front_internal.h"

namespace loomgraft {
namespace {

// Cell of the pair (i, j), i < j, in a triangle without diagonal over `size` indices.
std::size_t pair_cell(std::size_t i, std::size_t j, std::size_t size) {
  return i * (2 * size - i - 1) / 2 + (j - i - 1);
}

std::size_t pairs_of(std::size_t size) {
  return size * (size - 1) / 2;
}

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

// Any order that takes children before parents fills the same cells. The deepest go first, so that neighbours
// in it hang on different nodes and a processor need not wait for one to do the next.
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
  for (Position& place : tree.place) place = now[place];
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
  tree.climb.assign(tree.count + 1, 0.0);
  for (Position k = 0; k < tree.count; ++k)
    tree.first_update[k + 1] = tree.first_update[k] + (tree.is_kept(k) ? pairs_of(tree.width(k)) : 0);
  for (Position k = tree.count; k-- > 0;) {
    double work = static_cast<double>(pairs_of(tree.width(k)) + tree.width(k));
    for (std::uint32_t c = tree.first_child[k]; c < tree.first_child[k + 1]; ++c) {
      const Position child = tree.children[c];
      work += tree.is_kept(child) ? static_cast<double>(pairs_of(tree.width(child)))
                                  : std::numeric_limits<double>::infinity();
    }
    tree.climb[k] = work + tree.climb[tree.parent[k]];
  }
}

void place_branches(FrontTree& tree, std::span<const NodalBranch> branches) {
  tree.branch_cell.assign(branches.size(), no_cell);
  tree.branch_reversed.assign(branches.size(), false);
  tree.branch_home.assign(branches.size(), tree.count);
  tree.first_branch.assign(tree.to.size() + 1, 0);
  for (std::size_t k = 0; k < branches.size(); ++k) {
    const Position a = tree.place[branches[k].a];
    const Position b = tree.place[branches[k].b];
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

NodalCell cell_of(const NodalBranch& branch, bool reversed) {
  const double drive = branch.conductance * branch.emf;
  return {branch.conductance, reversed ? -drive : drive};
}

// What one front is made of and what it leaves behind.
struct FrontWork {
  NodalCell* front = nullptr;  // triangle over 1 + width indices, assembled
  double* currents = nullptr;  // by index
  double* share = nullptr;     // by width
  NodalCell* update = nullptr;
  double* handed = nullptr;  // by width
};

void add_child(const FrontTree& tree, Position child, const NodalCell* update, const double* handed,
               FrontWork& work, std::size_t size) {
  const std::size_t width = tree.width(child);
  const std::uint32_t* index = tree.in_parent.data() + tree.row[child];
  for (std::size_t i = 0; i < width; ++i) work.currents[index[i]] += handed[i];
  for (std::size_t i = 0; i + 1 < width; ++i) {
    NodalCell* line = work.front + pair_cell(index[i], index[i] + 1, size) - (index[i] + 1);
    for (std::size_t j = i + 1; j < width; ++j, ++update) {
      line[index[j]].conductance += update->conductance;
      line[index[j]].drive += update->drive;
    }
  }
}

struct Own {
  double each = 0.0;
  double moved = 0.0;
};

Own eliminate_front(FrontWork& work, std::size_t width) {
  double total = 0.0;
  double drive = work.currents[0];
  for (std::size_t i = 0; i < width; ++i) {
    total += work.front[i].conductance;
    drive += work.front[i].drive;
  }
  const double each = 1.0 / total;
  const NodalCell* rest = work.front + width;
  NodalCell* update = work.update;
  for (std::size_t i = 0; i < width; ++i) {
    const double share = work.front[i].conductance * each;
    const double drive_share = work.front[i].drive * each;
    work.share[i] = share;
    work.handed[i] = work.currents[i + 1] + share * work.currents[0];
    for (std::size_t j = i + 1; j < width; ++j, ++rest, ++update) {
      update->conductance = rest->conductance + share * work.front[j].conductance;
      update->drive = rest->drive + share * work.front[j].drive - drive_share * work.front[j].conductance;
    }
  }
  return {each, drive * each};
}

// The reference's index is the last of every front; its current is of no use.
FrontWork room_for(std::vector<NodalCell>& cells, std::vector<double>& currents, std::size_t size) {
  cells.assign(pairs_of(size), {});
  currents.assign(size, 0.0);
  FrontWork work;
  work.front = cells.data();
  work.currents = currents.data();
  return work;
}

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

FrontTree front_tree_of(std::span<const NodalBranch> branches, std::uint32_t node_count) {
  NodalPattern pattern = rows_of(branches, node_count);
  FrontTree tree;
  tree.count = node_count - 1;
  tree.place = std::move(pattern.place);
  tree.row = std::move(pattern.row);
  tree.to = std::move(pattern.to);
  order_by_depth(tree);
  find_children(tree);
  find_places_in_parents(tree);
  weigh(tree);
  place_branches(tree, branches);
  return tree;
}

Fronts factor(const FrontTree& tree, std::span<const NodalBranch> branches,
              std::span<const double> injected) {
  Fronts fronts;
  fronts.branches.assign(branches.begin(), branches.end());
  fronts.injected.assign(tree.count + 1, 0.0);
  for (std::size_t node = 1; node < injected.size(); ++node)
    fronts.injected[tree.place[node]] = injected[node];
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
    FrontWork work = room_for(cells, currents, width + 1);
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
    // An ampere into k goes on to its row by shares; what it meets there is that of the shares' own spread.
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

ChangedFronts::ChangedFronts(const FrontTree& tree, const Fronts& fronts)
    : tree_(tree),
      fronts_(fronts),
      slot_(tree.count + 1, 0),
      currents_(tree.count + 1, 0.0),
      potentials_(tree.count + 1, 0.0) {}

void ChangedFronts::restore() {
  for (const Position k : path_) slot_[k] = 0;
  path_.clear();
}

NodalCell ChangedFronts::cell_value(std::uint32_t cell, std::span<const std::size_t> branches,
                                    std::span<const NodalBranch> values) const {
  NodalCell sum;
  for (std::uint32_t i = tree_.first_branch[cell]; i < tree_.first_branch[cell + 1]; ++i) {
    const std::uint32_t branch = tree_.cell_branches[i];
    const auto found = std::find(branches.begin(), branches.end(), branch);
    const NodalBranch& value = found == branches.end()
                                   ? fronts_.branches[branch]
                                   : values[static_cast<std::size_t>(found - branches.begin())];
    const NodalCell one = cell_of(value, tree_.branch_reversed[branch]);
    sum.conductance += one.conductance;
    sum.drive += one.drive;
  }
  return sum;
}

void ChangedFronts::eliminate_again(Position k, std::span<const std::size_t> branches,
                                    std::span<const NodalBranch> values) {
  const std::size_t width = tree_.width(k);
  FrontWork work = room_for(scratch_, scratch_currents_, width + 1);
  std::copy_n(fronts_.original.begin() + tree_.row[k], width, work.front);
  for (const std::size_t branch : branches) {
    if (tree_.branch_home[branch] != k) continue;
    const std::uint32_t cell = tree_.branch_cell[branch];
    work.front[cell - tree_.row[k]] = cell_value(cell, branches, values);
  }
  work.currents[0] = fronts_.injected[k];
  for (std::uint32_t c = tree_.first_child[k]; c < tree_.first_child[k + 1]; ++c) {
    const Position child = tree_.children[c];
    const Front* other = changed_at(child);
    add_child(tree_, child, other ? other->update.data() : fronts_.update.data() + tree_.first_update[child],
              other ? other->handed.data() : fronts_.handed.data() + tree_.row[child], work, width + 1);
  }
  Front& front = fronts_here_[slot_[k] - 1];
  front.share.resize(width);
  front.handed.resize(width);
  front.update.resize(pairs_of(width));
  work.share = front.share.data();
  work.handed = front.handed.data();
  work.update = front.update.data();
  const Own own = eliminate_front(work, width);
  front.each = own.each;
  front.moved = own.moved;
}

void ChangedFronts::change(std::span<const std::size_t> branches, std::span<const NodalBranch> values) {
  restore();
  for (const std::size_t branch : branches) {
    for (Position k = tree_.branch_home[branch]; k < tree_.count && slot_[k] == 0; k = tree_.parent[k]) {
      slot_[k] = 1;
      path_.push_back(k);
    }
  }
  if (branches.size() > 1) std::sort(path_.begin(), path_.end());
  if (fronts_here_.size() < path_.size()) fronts_here_.resize(path_.size());
  for (std::size_t i = 0; i < path_.size(); ++i) slot_[path_[i]] = static_cast<std::uint32_t>(i + 1);
  for (const Position k : path_) eliminate_again(k, branches, values);
  for (std::size_t i = path_.size(); i-- > 0;) {
    const Position k = path_[i];
    double sum = fronts_here_[i].moved;
    for (std::size_t c = 0; c + 1 < tree_.width(k); ++c) {
      // All that a changed node leads to is above it, and so is changed too.
      sum += fronts_here_[i].share[c] * potential_at(tree_.to[tree_.row[k] + c]);
    }
    fronts_here_[i].potential = sum;
  }
}

double ChangedFronts::potential_at(Position k) const {
  const Front* other = changed_at(k);
  return other ? other->potential : fronts_.potential[k];
}

void ChangedFronts::carry(Dipole dipole, Carried& result) {
  currents_[dipole.plus] += 1.0;
  currents_[dipole.minus] -= 1.0;
  Position starts[] = {dipole.plus, dipole.minus};
  carry_currents(starts, result);
}

void ChangedFronts::carry_difference(Dipole one, Dipole other, Carried& result) {
  currents_[one.plus] += 1.0;
  currents_[one.minus] -= 1.0;
  currents_[other.plus] -= 1.0;
  currents_[other.minus] += 1.0;
  Position starts[] = {one.plus, one.minus, other.plus, other.minus};
  carry_currents(starts, result);
}

// Climbs from all starts at once, the earliest first.
void ChangedFronts::carry_currents(std::span<Position> starts, Carried& result) {
  result.path.clear();
  result.current.clear();
  while (true) {
    Position k = starts[0];
    for (const Position start : starts) k = std::min(k, start);
    if (k == tree_.count) break;
    const Position next = tree_.parent[k];
    for (Position& start : starts) start = start == k ? next : start;
    const double current = currents_[k];
    currents_[k] = 0.0;
    if (current == 0.0) continue;
    result.path.push_back(k);
    result.current.push_back(current);
    const Front* changed = changed_at(k);
    const double* share = changed ? changed->share.data() : fronts_.share.data() + tree_.row[k];
    for (std::uint32_t i = tree_.row[k]; i + 1 < tree_.row[k + 1]; ++i)
      currents_[tree_.to[i]] += *share++ * current;
  }
  currents_[tree_.count] = 0.0;
}

double ChangedFronts::resistance(const Carried& carried) const {
  double sum = 0.0;
  for (std::size_t i = 0; i < carried.path.size(); ++i) {
    const Front* changed = changed_at(carried.path[i]);
    sum +=
        carried.current[i] * carried.current[i] * (changed ? changed->each : fronts_.each[carried.path[i]]);
  }
  return sum;
}

double ChangedFronts::transfer(const Carried& one, const Carried& other) {
  double sum = 0.0;
  for (std::size_t i = 0, j = 0; i < one.path.size() && j < other.path.size();) {
    const Position k = one.path[i];
    if (k < other.path[j]) {
      ++i;
    } else if (other.path[j] < k) {
      ++j;
    } else {
      const Front* changed = changed_at(k);
      sum += one.current[i++] * other.current[j++] * (changed ? changed->each : fronts_.each[k]);
    }
  }
  return sum;
}

double ChangedFronts::volts(Dipole dipole) {
  if (path_.empty()) return fronts_.potential[dipole.plus] - fronts_.potential[dipole.minus];
  const auto at = [&](Position start) {
    if (const Front* changed = changed_at(start)) return changed->potential;
    climb_.clear();
    for (Position k = start; k < tree_.count; k = tree_.parent[k]) climb_.push_back(k);
    potentials_[tree_.count] = 0.0;
    for (std::size_t i = climb_.size(); i-- > 0;) {
      const Position k = climb_[i];
      if (const Front* changed = changed_at(k)) {
        potentials_[k] = changed->potential;
        continue;
      }
      double sum = fronts_.moved[k];
      for (std::uint32_t c = tree_.row[k]; c + 1 < tree_.row[k + 1]; ++c)
        sum += fronts_.share[c] * potentials_[tree_.to[c]];
      potentials_[k] = sum;
    }
    return potentials_[start];
  };
  const double plus = at(dipole.plus);
  return plus - at(dipole.minus);
}

}  // namespace loomgraft
