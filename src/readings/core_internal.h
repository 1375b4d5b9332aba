// The elimination tree cut into a core and subtrees, for tests and changes that are far from each other.
//
// Model   subtrees are small and hang from one or two positions above them; all else is the core. An ampere
//         into a subtree leaves it for the core in fixed shares. So for a test in another subtree than the
//         change, q is a sum of at most four potentials of the core
// Needs   a factorisation without subtraction
// Gives   the same q as from all positions, but for rounding
#pragma once

#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include "readings/sweep_internal.h"

namespace loomgraft::readings {

struct LinearisedNetwork;

inline constexpr std::uint32_t no_subtree = 0xffffffff;

// The core positions that an ampere into a position reaches, and its shares there; the rest goes to the
// reference.
struct CoreShares {
  Position to[2];
  double share[2];
};

struct TreeCore {
  std::vector<Position> positions;      // of the core, descending
  std::vector<std::uint32_t> subtree;   // by position, the reference too: no_subtree in the core
  std::vector<std::uint32_t> first;     // by subtree, one more at the end
  std::vector<Position> in_subtrees;    // by subtree, descending
  std::vector<CoreShares> core_shares;  // by position
  std::size_t subtrees() const { return first.size() - 1; }
  std::span<const Position> of(std::uint32_t which) const {
    return std::span(in_subtrees).subspan(first[which], first[which + 1] - first[which]);
  }
};

// Watched pairs stay in the core.
TreeCore core_of(const LinearisedNetwork& linearised);

// A dipole as a sum over core positions. `most`: the larger of the two ends' shares.
struct FarDipole {
  Position to[far_terms];
  double share[far_terms];
  double most[far_terms];
  std::uint32_t terms = 0;
  // The largest volts across it for one volt in the core.
  double size() const {
    double sum = 0.0;
    for (const double one : share) sum += std::abs(one);
    return sum;
  }
};
FarDipole far_dipole(const TreeCore& core, Dipole dipole);

// By subtree: the dipoles that have an end in it.
struct SubtreeIndex {
  std::vector<std::uint32_t> first;
  std::vector<std::uint32_t> at;
  std::span<const std::uint32_t> of(std::uint32_t subtree) const {
    return std::span(at).subspan(first[subtree], first[subtree + 1] - first[subtree]);
  }
};
SubtreeIndex subtree_index(const TreeCore& core, std::span<const Dipole> dipoles);

}  // namespace loomgraft::readings
