// The elimination tree cut in two, for tests and changes that are far from each other.
//
// Model   twigs: small subtrees that hang from one or two positions above them. All else is the crown. An
//         ampere into a twig leaves it for the crown by fixed shares, so a test that is not in a change's
//         twigs sees the change from the crown alone: q is a sum of at most four of its potentials
// Needs   a factorisation without subtraction
// Gives   the same q as over all positions, but for rounding
#pragma once

#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include "readings/sweep_internal.h"

namespace loomgraft::readings {

struct Settled;

inline constexpr std::uint32_t no_twig = 0xffffffff;

// Where an ampere into a position arrives in the crown, and what of it; the rest goes to the reference.
struct Foot {
  Position to[2];
  double share[2];
};

struct Crown {
  std::vector<Position> positions;   // of the crown, descending
  std::vector<std::uint32_t> twig;   // by position, the reference too: no_twig in the crown
  std::vector<std::uint32_t> first;  // by twig, one more at the end
  std::vector<Position> in_twigs;    // by twig, descending
  std::vector<Foot> foot;            // by position
  std::size_t twigs() const { return first.size() - 1; }
  std::span<const Position> of(std::uint32_t which) const {
    return std::span(in_twigs).subspan(first[which], first[which + 1] - first[which]);
  }
};

// What is watched stays in the crown.
Crown crown_of(const Settled& settled);

// A dipole as the crown sees it. `most`: the larger of what of either end arrives.
struct FarDipole {
  Position to[far_terms];
  double share[far_terms];
  double most[far_terms];
  std::uint32_t terms = 0;
  // The most volts that it sees of one in the crown.
  double size() const {
    double sum = 0.0;
    for (const double one : share) sum += std::abs(one);
    return sum;
  }
};
FarDipole far_dipole(const Crown& crown, Dipole dipole);

// By twig: which of the dipoles have an end in it.
struct TwigIndex {
  std::vector<std::uint32_t> first;
  std::vector<std::uint32_t> at;
  std::span<const std::uint32_t> of(std::uint32_t twig) const {
    return std::span(at).subspan(first[twig], first[twig + 1] - first[twig]);
  }
};
TwigIndex twig_index(const Crown& crown, std::span<const Dipole> dipoles);

}  // namespace loomgraft::readings
