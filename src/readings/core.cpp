#include <algorithm>

#include "readings/core_internal.h"
#include "readings/dictionary_internal.h"

namespace loomgraft::readings {
namespace {

// Whoever is in a test's own twig is read one by one, so twigs are kept small.
constexpr std::uint32_t largest_twig = 32;
constexpr std::size_t widest_twig = 2 + 1;  // the reference too

std::vector<bool> in_crown(const Settled& settled) {
  const FrontTree& tree = *settled.tree;
  std::vector<bool> crown(tree.count + 1, false);
  crown[tree.count] = true;
  for (const Watched& one : settled.watched) {
    const Dipole dipole = settled.dipole(one.a, one.b);
    crown[dipole.plus] = crown[dipole.minus] = true;
  }
  std::vector<std::uint32_t> size(tree.count + 1, 1);
  for (Position k = 0; k < tree.count; ++k) {
    if (size[k] > largest_twig || tree.width(k) > widest_twig) crown[k] = true;
    size[tree.parent[k]] += size[k];
    if (crown[k]) crown[tree.parent[k]] = true;
  }
  return crown;
}

void lay_out_twigs(Crown& crown, const FrontTree& tree, const std::vector<bool>& is_crown) {
  crown.twig.assign(tree.count + 1, no_twig);
  std::vector<std::uint32_t> size;
  for (Position k = tree.count; k-- > 0;) {
    if (is_crown[k]) {
      crown.positions.push_back(k);
      continue;
    }
    const bool is_root = is_crown[tree.parent[k]];
    crown.twig[k] = is_root ? static_cast<std::uint32_t>(size.size()) : crown.twig[tree.parent[k]];
    if (is_root) size.push_back(0);
    ++size[crown.twig[k]];
  }
  crown.first.assign(1, 0);
  for (const std::uint32_t one : size) crown.first.push_back(crown.first.back() + one);
  crown.in_twigs.resize(crown.first.back());
  std::vector<std::uint32_t> next(crown.first.begin(), crown.first.end() - 1);
  for (Position k = tree.count; k-- > 0;) {
    if (!is_crown[k]) crown.in_twigs[next[crown.twig[k]]++] = k;
  }
}

// All feet of a twig stand on what its root's row names.
void find_feet(Crown& crown, const FrontTree& tree, std::span<const double> share) {
  crown.foot.assign(tree.count + 1, {{tree.count, tree.count}, {0.0, 0.0}});
  for (const Position k : crown.positions) crown.foot[k] = {{k, tree.count}, {1.0, 0.0}};
  for (const Position k : crown.in_twigs) {
    Foot& foot = crown.foot[k];
    const bool is_root = crown.twig[tree.parent[k]] == no_twig;
    if (!is_root) std::copy_n(crown.foot[tree.parent[k]].to, 2, foot.to);
    for (std::uint32_t i = tree.row[k]; i + 1 < tree.row[k + 1]; ++i) {
      if (is_root) foot.to[i - tree.row[k]] = tree.to[i];
      const Foot& next = crown.foot[tree.to[i]];
      for (std::size_t from = 0; from < 2; ++from) {
        if (next.share[from] == 0.0) continue;
        foot.share[next.to[from] == foot.to[0] ? 0 : 1] += share[i] * next.share[from];
      }
    }
  }
}

}  // namespace

Crown crown_of(const Settled& settled) {
  const std::vector<bool> is_crown = in_crown(settled);
  Crown crown;
  lay_out_twigs(crown, *settled.tree, is_crown);
  find_feet(crown, *settled.tree, settled.fronts.share);
  return crown;
}

FarDipole far_dipole(const Crown& crown, Dipole dipole) {
  FarDipole far;
  const auto reference = static_cast<Position>(crown.twig.size() - 1);
  std::fill_n(far.to, far_terms, reference);
  std::fill_n(far.share, far_terms, 0.0);
  std::fill_n(far.most, far_terms, 0.0);
  for (const double sign : {1.0, -1.0}) {
    const Foot& foot = crown.foot[sign > 0.0 ? dipole.plus : dipole.minus];
    for (std::size_t k = 0; k < 2; ++k) {
      if (foot.share[k] == 0.0) continue;
      const auto term =
          static_cast<std::uint32_t>(std::find(far.to, far.to + far.terms, foot.to[k]) - far.to);
      far.terms = std::max(far.terms, term + 1);
      far.to[term] = foot.to[k];
      far.share[term] += sign * foot.share[k];
      far.most[term] = std::max(far.most[term], foot.share[k]);
    }
  }
  return far;
}

TwigIndex twig_index(const Crown& crown, std::span<const Dipole> dipoles) {
  TwigIndex index;
  index.first.assign(crown.twigs() + 1, 0);
  const auto each_end = [&](auto&& visit) {
    for (std::uint32_t k = 0; k < dipoles.size(); ++k) {
      const std::uint32_t one = crown.twig[dipoles[k].plus];
      const std::uint32_t other = crown.twig[dipoles[k].minus];
      if (one != no_twig) visit(one, k);
      if (other != no_twig && other != one) visit(other, k);
    }
  };
  each_end([&](std::uint32_t twig, std::uint32_t) { ++index.first[twig + 1]; });
  for (std::size_t k = 0; k + 1 < index.first.size(); ++k) index.first[k + 1] += index.first[k];
  index.at.resize(index.first.back());
  std::vector<std::uint32_t> next(index.first.begin(), index.first.end() - 1);
  each_end([&](std::uint32_t twig, std::uint32_t k) { index.at[next[twig]++] = k; });
  return index;
}

}  // namespace loomgraft::readings
