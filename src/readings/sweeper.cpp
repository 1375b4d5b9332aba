// Solves for eight dipoles at a time: forward along the union of their paths, backward over the core and the
// subtrees that are needed only.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings {
namespace {

std::vector<Position> descending(Position count) {
  std::vector<Position> all(count);
  std::iota(all.rbegin(), all.rend(), Position{0});
  return all;
}

}  // namespace

std::span<const Position> Reach::of(std::span<const Dipole> dipoles) {
  found_.clear();
  for (const Dipole& dipole : dipoles) {
    if (dipole.plus == dipole.minus) continue;
    for (const Position start : {dipole.plus, dipole.minus}) {
      for (Position k = start; k < tree_.count && !visited_[k]; k = tree_.parent[k]) {
        visited_[k] = true;
        found_.push_back(k);
      }
    }
  }
  for (const Position k : found_) visited_[k] = false;
  std::sort(found_.begin(), found_.end());
  return found_;
}

SweepTable sweep_table(const LinearisedNetwork& linearised) {
  const FrontTree& tree = *linearised.tree;
  SweepTable table;
  table.row.reserve(tree.count + 1);
  table.to.reserve(tree.to.size());
  table.share.reserve(tree.to.size());
  table.row.push_back(0);
  for (Position k = 0; k < tree.count; ++k) {
    for (std::uint32_t i = tree.row[k]; i + 1 < tree.row[k + 1]; ++i) {
      table.to.push_back(tree.to[i]);
      table.share.push_back(linearised.fronts.share[i]);
    }
    table.row.push_back(static_cast<std::uint32_t>(table.to.size()));
  }
  table.everywhere = descending(tree.count);
  table.rows = {tree.count, table.row.data(), table.to.data(), table.share.data(),
                linearised.fronts.each.data()};
  return table;
}

Sweeper::Sweeper(const LinearisedNetwork& linearised, const SweepKernel& chosen, std::vector<Dipole> asked)
    : kernel(chosen),
      table(sweep_table(linearised)),
      reach(*linearised.tree),
      work(*linearised.tree, linearised.fronts),
      core(core_of(linearised)),
      items(std::move(asked)),
      near(subtree_index(core, items)),
      z(linearised.tree->count + 1),
      lanes_in(core.subtrees(), 0),
      filled(core.subtrees(), false) {
  for (const WatchedPair& one : linearised.watched) watched.push_back(linearised.dipole(one.a, one.b));
  per_headroom = linearised.headroom.per_headroom;
}

void Sweeper::touch(const SweepDipoles& dipoles) {
  for (const std::uint32_t subtree : touched) lanes_in[subtree] = 0;
  touched.clear();
  for (std::uint32_t lane = 0; lane < sweep_lanes; ++lane) {
    for (const Position end : {dipoles.at[lane].plus, dipoles.at[lane].minus}) {
      const std::uint32_t subtree = core.subtree[end];
      if (subtree == no_subtree || dipoles.at[lane].plus == dipoles.at[lane].minus) continue;
      if (lanes_in[subtree] == 0) touched.push_back(subtree);
      lanes_in[subtree] |= 1U << lane;
    }
  }
}

// The core, the probes' subtrees, and those at the other ends of items in them.
void Sweeper::find_fill() {
  fill.assign(core.positions.begin(), core.positions.end());
  std::vector<std::uint32_t> which;
  const auto add = [&](std::uint32_t subtree) {
    if (subtree == no_subtree || filled[subtree]) return;
    filled[subtree] = true;
    which.push_back(subtree);
  };
  for (const std::uint32_t subtree : touched) {
    add(subtree);
    for (const std::uint32_t item : near.of(subtree)) {
      add(core.subtree[items[item].plus]);
      add(core.subtree[items[item].minus]);
    }
  }
  for (const std::uint32_t subtree : which) {
    filled[subtree] = false;
    const auto positions = core.of(subtree);
    fill.insert(fill.end(), positions.begin(), positions.end());
  }
}

void Sweeper::solve(SweepDipoles& dipoles, SweepTests& tests) {
  touch(dipoles);
  find_fill();
  dipoles.reach = reach.of(dipoles.at);
  dipoles.fill = fill;
  kernel.solve(table.rows, dipoles, z.data());
  kernel.largest(z.data(), core.positions, tests.most);
  kernel.couple(z.data(), watched, per_headroom.data(), tests.couple);
}

void Sweeper::solve_everywhere(SweepDipoles& dipoles, Lanes& couple) {
  dipoles.reach = reach.of(dipoles.at);
  dipoles.fill = table.everywhere;
  kernel.solve(table.rows, dipoles, z.data());
  kernel.couple(z.data(), watched, per_headroom.data(), couple);
}

std::uint32_t Sweeper::lanes_near(Dipole dipole) const {
  const auto lanes = [&](Position end) {
    return core.subtree[end] == no_subtree ? 0U : lanes_in[core.subtree[end]];
  };
  return lanes(dipole.plus) | lanes(dipole.minus);
}

double Sweeper::across(Dipole dipole, std::size_t lane) const {
  if ((lanes_near(dipole) >> lane & 1U) != 0) return z[dipole.plus].at[lane] - z[dipole.minus].at[lane];
  const FarDipole far = far_dipole(core, dipole);
  double sum = 0.0;
  for (std::size_t k = 0; k < far_terms; ++k) sum += far.share[k] * z[far.to[k]].at[lane];
  return sum;
}

}  // namespace loomgraft::readings
