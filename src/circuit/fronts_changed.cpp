// The factorisation with a few branches changed: the fronts from them to the root again.
#include <algorithm>
#include <cmath>

#include "circuit/front_work_internal.h"

namespace loomgraft {

using namespace circuit;

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
  FrontWork work = resize_front(scratch_, scratch_currents_, width + 1);
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

// Follows the paths from all starts to the root at once, the earliest position first.
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
  for (std::size_t i = 0; i < carried.path.size(); ++i)
    sum += carried.current[i] * carried.current[i] * each_at(carried.path[i]);
  return sum;
}

namespace {

// Visits the positions that both paths have, with both currents.
template <class Visit>
void meet(const Carried& one, const Carried& other, Visit&& visit) {
  for (std::size_t i = 0, j = 0; i < one.path.size() && j < other.path.size();) {
    const Position k = one.path[i];
    if (k < other.path[j]) {
      ++i;
    } else if (other.path[j] < k) {
      ++j;
    } else {
      visit(k, one.current[i++], other.current[j++]);
    }
  }
}

}  // namespace

double ChangedFronts::transfer(const Carried& one, const Carried& other) {
  double sum = 0.0;
  meet(one, other, [&](Position k, double x, double y) { sum += x * y * each_at(k); });
  return sum;
}

// The difference of two currents that cancel has the error of those, not of itself.
double ChangedFronts::transfer_rounding(const Carried& one, const Carried& other) const {
  double sum = 0.0;
  meet(one, other, [&](Position k, double x, double y) { sum += (std::abs(x) + std::abs(y)) * each_at(k); });
  return sum;
}

std::span<const double> ChangedFronts::all_volts() {
  if (path_.empty()) return fronts_.potential;
  potentials_[tree_.count] = 0.0;
  for (Position k = tree_.count; k-- > 0;) potentials_[k] = potential_from_above(k);
  return potentials_;
}

void ChangedFronts::response(Dipole dipole, std::vector<double>& volts) {
  carry(dipole, response_);
  volts.assign(tree_.count + 1, 0.0);
  for (std::size_t i = 0; i < response_.path.size(); ++i)
    volts[response_.path[i]] = response_.current[i] * each_at(response_.path[i]);
  for (Position k = tree_.count; k-- > 0;) {
    const Front* changed = changed_at(k);
    const double* share = changed ? changed->share.data() : fronts_.share.data() + tree_.row[k];
    double sum = volts[k];
    for (std::uint32_t c = tree_.row[k]; c + 1 < tree_.row[k + 1]; ++c) sum += *share++ * volts[tree_.to[c]];
    volts[k] = sum;
  }
}

// Needs the potentials that its row leads to.
double ChangedFronts::potential_from_above(Position k) const {
  if (const Front* changed = changed_at(k)) return changed->potential;
  double sum = fronts_.moved[k];
  for (std::uint32_t c = tree_.row[k]; c + 1 < tree_.row[k + 1]; ++c)
    sum += fronts_.share[c] * potentials_[tree_.to[c]];
  return sum;
}

double ChangedFronts::volts(Dipole dipole) {
  if (path_.empty()) return fronts_.potential[dipole.plus] - fronts_.potential[dipole.minus];
  const auto at = [&](Position start) {
    if (const Front* changed = changed_at(start)) return changed->potential;
    walk_.clear();
    for (Position k = start; k < tree_.count; k = tree_.parent[k]) walk_.push_back(k);
    potentials_[tree_.count] = 0.0;
    for (std::size_t i = walk_.size(); i-- > 0;) potentials_[walk_[i]] = potential_from_above(walk_[i]);
    return potentials_[start];
  };
  const double plus = at(dipole.plus);
  return plus - at(dipole.minus);
}

}  // namespace loomgraft
