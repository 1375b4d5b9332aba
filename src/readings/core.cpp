#include <algorithm>

#include "readings/core_internal.h"
#include "readings/dictionary_internal.h"

namespace loomgraft::readings {
namespace {

// Changes in a test's own subtree are read one by one, so subtrees are kept small.
constexpr std::uint32_t largest_subtree = 32;
constexpr std::size_t widest_subtree = 2 + 1;  // the reference too

std::vector<bool> in_core(const LinearisedNetwork& linearised) {
  const FrontTree& tree = *linearised.tree;
  std::vector<bool> core(tree.count + 1, false);
  core[tree.count] = true;
  for (const WatchedPair& one : linearised.watched) {
    const Dipole dipole = linearised.dipole(one.a, one.b);
    core[dipole.plus] = core[dipole.minus] = true;
  }
  std::vector<std::uint32_t> size(tree.count + 1, 1);
  for (Position k = 0; k < tree.count; ++k) {
    if (size[k] > largest_subtree || tree.width(k) > widest_subtree) core[k] = true;
    size[tree.parent[k]] += size[k];
    if (core[k]) core[tree.parent[k]] = true;
  }
  return core;
}

void lay_out_subtrees(TreeCore& core, const FrontTree& tree, const std::vector<bool>& is_core) {
  core.subtree.assign(tree.count + 1, no_subtree);
  std::vector<std::uint32_t> size;
  for (Position k = tree.count; k-- > 0;) {
    if (is_core[k]) {
      core.positions.push_back(k);
      continue;
    }
    const bool is_root = is_core[tree.parent[k]];
    core.subtree[k] = is_root ? static_cast<std::uint32_t>(size.size()) : core.subtree[tree.parent[k]];
    if (is_root) size.push_back(0);
    ++size[core.subtree[k]];
  }
  core.first.assign(1, 0);
  for (const std::uint32_t one : size) core.first.push_back(core.first.back() + one);
  core.in_subtrees.resize(core.first.back());
  std::vector<std::uint32_t> next(core.first.begin(), core.first.end() - 1);
  for (Position k = tree.count; k-- > 0;) {
    if (!is_core[k]) core.in_subtrees[next[core.subtree[k]]++] = k;
  }
}

// All positions of a subtree reach the core at the positions that its root's row names.
void find_core_shares(TreeCore& core, const FrontTree& tree, std::span<const double> share) {
  core.core_shares.assign(tree.count + 1, {{tree.count, tree.count}, {0.0, 0.0}});
  for (const Position k : core.positions) core.core_shares[k] = {{k, tree.count}, {1.0, 0.0}};
  for (const Position k : core.in_subtrees) {
    CoreShares& core_shares = core.core_shares[k];
    const bool is_root = core.subtree[tree.parent[k]] == no_subtree;
    if (!is_root) std::copy_n(core.core_shares[tree.parent[k]].to, 2, core_shares.to);
    for (std::uint32_t i = tree.row[k]; i + 1 < tree.row[k + 1]; ++i) {
      if (is_root) core_shares.to[i - tree.row[k]] = tree.to[i];
      const CoreShares& next = core.core_shares[tree.to[i]];
      for (std::size_t from = 0; from < 2; ++from) {
        if (next.share[from] == 0.0) continue;
        core_shares.share[next.to[from] == core_shares.to[0] ? 0 : 1] += share[i] * next.share[from];
      }
    }
  }
}

}  // namespace

TreeCore core_of(const LinearisedNetwork& linearised) {
  const std::vector<bool> is_core = in_core(linearised);
  TreeCore core;
  lay_out_subtrees(core, *linearised.tree, is_core);
  find_core_shares(core, *linearised.tree, linearised.fronts.share);
  return core;
}

FarDipole far_dipole(const TreeCore& core, Dipole dipole) {
  FarDipole far;
  const auto reference = static_cast<Position>(core.subtree.size() - 1);
  std::fill_n(far.to, far_terms, reference);
  std::fill_n(far.share, far_terms, 0.0);
  std::fill_n(far.most, far_terms, 0.0);
  for (const double sign : {1.0, -1.0}) {
    const CoreShares& core_shares = core.core_shares[sign > 0.0 ? dipole.plus : dipole.minus];
    for (std::size_t k = 0; k < 2; ++k) {
      if (core_shares.share[k] == 0.0) continue;
      const auto term =
          static_cast<std::uint32_t>(std::find(far.to, far.to + far.terms, core_shares.to[k]) - far.to);
      far.terms = std::max(far.terms, term + 1);
      far.to[term] = core_shares.to[k];
      far.share[term] += sign * core_shares.share[k];
      far.most[term] = std::max(far.most[term], core_shares.share[k]);
    }
  }
  return far;
}

SubtreeIndex subtree_index(const TreeCore& core, std::span<const Dipole> dipoles) {
  SubtreeIndex index;
  index.first.assign(core.subtrees() + 1, 0);
  const auto each_end = [&](auto&& visit) {
    for (std::uint32_t k = 0; k < dipoles.size(); ++k) {
      const std::uint32_t one = core.subtree[dipoles[k].plus];
      const std::uint32_t other = core.subtree[dipoles[k].minus];
      if (one != no_subtree) visit(one, k);
      if (other != no_subtree && other != one) visit(other, k);
    }
  };
  each_end([&](std::uint32_t subtree, std::uint32_t) { ++index.first[subtree + 1]; });
  for (std::size_t k = 0; k + 1 < index.first.size(); ++k) index.first[k + 1] += index.first[k];
  index.at.resize(index.first.back());
  std::vector<std::uint32_t> next(index.first.begin(), index.first.end() - 1);
  each_end([&](std::uint32_t subtree, std::uint32_t k) { index.at[next[subtree]++] = k; });
  return index;
}

}  // namespace loomgraft::readings
