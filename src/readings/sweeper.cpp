// Solves for eight dipoles at a time, no further than is asked.
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
      for (Position k = start; k < tree_.count && !seen_[k]; k = tree_.parent[k]) {
        seen_[k] = true;
        found_.push_back(k);
      }
    }
  }
  for (const Position k : found_) seen_[k] = false;
  std::sort(found_.begin(), found_.end());
  return found_;
}

SweepTable sweep_table(const Settled& settled) {
  const FrontTree& tree = *settled.tree;
  SweepTable table;
  table.row.reserve(tree.count + 1);
  table.to.reserve(tree.to.size());
  table.share.reserve(tree.to.size());
  table.row.push_back(0);
  for (Position k = 0; k < tree.count; ++k) {
    for (std::uint32_t i = tree.row[k]; i + 1 < tree.row[k + 1]; ++i) {
      table.to.push_back(tree.to[i]);
      table.share.push_back(settled.fronts.share[i]);
    }
    table.row.push_back(static_cast<std::uint32_t>(table.to.size()));
  }
  table.everywhere = descending(tree.count);
  table.rows = {tree.count, table.row.data(), table.to.data(), table.share.data(),
                settled.fronts.each.data()};
  return table;
}

Sweeper::Sweeper(const Settled& settled, const SweepKernel& chosen, std::vector<Dipole> asked)
    : kernel(chosen),
      table(sweep_table(settled)),
      reach(*settled.tree),
      work(*settled.tree, settled.fronts),
      crown(crown_of(settled)),
      items(std::move(asked)),
      near(twig_index(crown, items)),
      z(settled.tree->count + 1),
      lanes_in(crown.twigs(), 0),
      filled(crown.twigs(), false) {
  for (const Watched& one : settled.watched) watched.push_back(settled.dipole(one.a, one.b));
  per_room = settled.rooms.per_room;
}

void Sweeper::touch(const SweepDipoles& dipoles) {
  for (const std::uint32_t twig : touched) lanes_in[twig] = 0;
  touched.clear();
  for (std::uint32_t lane = 0; lane < sweep_lanes; ++lane) {
    for (const Position end : {dipoles.at[lane].plus, dipoles.at[lane].minus}) {
      const std::uint32_t twig = crown.twig[end];
      if (twig == no_twig || dipoles.at[lane].plus == dipoles.at[lane].minus) continue;
      if (lanes_in[twig] == 0) touched.push_back(twig);
      lanes_in[twig] |= 1U << lane;
    }
  }
}

// The crown, the probes' twigs, and those at the other ends of items near them.
void Sweeper::find_fill() {
  fill.assign(crown.positions.begin(), crown.positions.end());
  std::vector<std::uint32_t> which;
  const auto add = [&](std::uint32_t twig) {
    if (twig == no_twig || filled[twig]) return;
    filled[twig] = true;
    which.push_back(twig);
  };
  for (const std::uint32_t twig : touched) {
    add(twig);
    for (const std::uint32_t item : near.of(twig)) {
      add(crown.twig[items[item].plus]);
      add(crown.twig[items[item].minus]);
    }
  }
  for (const std::uint32_t twig : which) {
    filled[twig] = false;
    const auto positions = crown.of(twig);
    fill.insert(fill.end(), positions.begin(), positions.end());
  }
}

void Sweeper::solve(SweepDipoles& dipoles, SweepTests& tests) {
  touch(dipoles);
  find_fill();
  dipoles.reach = reach.of(dipoles.at);
  dipoles.fill = fill;
  kernel.solve(table.rows, dipoles, z.data());
  kernel.largest(z.data(), crown.positions, tests.most);
  kernel.couple(z.data(), watched, per_room.data(), tests.couple);
}

void Sweeper::solve_everywhere(SweepDipoles& dipoles, Lanes& couple) {
  dipoles.reach = reach.of(dipoles.at);
  dipoles.fill = table.everywhere;
  kernel.solve(table.rows, dipoles, z.data());
  kernel.couple(z.data(), watched, per_room.data(), couple);
}

std::uint32_t Sweeper::lanes_near(Dipole dipole) const {
  const auto lanes = [&](Position end) {
    return crown.twig[end] == no_twig ? 0U : lanes_in[crown.twig[end]];
  };
  return lanes(dipole.plus) | lanes(dipole.minus);
}

double Sweeper::across(Dipole dipole, std::size_t lane) const {
  if ((lanes_near(dipole) >> lane & 1U) != 0) return z[dipole.plus].at[lane] - z[dipole.minus].at[lane];
  const FarDipole far = far_dipole(crown, dipole);
  double sum = 0.0;
  for (std::size_t k = 0; k < far_terms; ++k) sum += far.share[k] * z[far.to[k]].at[lane];
  return sum;
}

}  // namespace loomgraft::readings
