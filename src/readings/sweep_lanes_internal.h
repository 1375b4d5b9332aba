// Eight lanes in vectors of any width, and q of a change in each. For the files that include
// sweep_kernel_internal.h.
#pragma once

#include "readings/sweep_internal.h"

namespace loomgraft::readings {
namespace {

// Eight lanes in as many registers as it takes. `Isa` names a vector type and the few operations that have no
// operator.
template <class Isa>
struct Eight {
  using Vector = typename Isa::Vector;
  static constexpr std::size_t parts = sizeof(Lanes) / sizeof(Vector);
  Vector part[parts];

  static Eight load(const Lanes& lanes) {
    Eight result;
    for (std::size_t p = 0; p < parts; ++p)
      result.part[p] = Isa::load(lanes.at + p * (sizeof(Vector) / sizeof(double)));
    return result;
  }
  static Eight all(double value) {
    Eight result;
    for (std::size_t p = 0; p < parts; ++p) result.part[p] = Isa::all(value);
    return result;
  }
  void store(Lanes& lanes) const {
    for (std::size_t p = 0; p < parts; ++p)
      Isa::store(lanes.at + p * (sizeof(Vector) / sizeof(double)), part[p]);
  }
#define LOOMGRAFT_LANEWISE(symbol)                                                       \
  friend Eight operator symbol(const Eight& x, const Eight& y) {                         \
    Eight result;                                                                        \
    for (std::size_t p = 0; p < parts; ++p) result.part[p] = x.part[p] symbol y.part[p]; \
    return result;                                                                       \
  }
  LOOMGRAFT_LANEWISE(+)
  LOOMGRAFT_LANEWISE(-)
  LOOMGRAFT_LANEWISE(*)
  LOOMGRAFT_LANEWISE(/)
#undef LOOMGRAFT_LANEWISE
};

template <class Isa>
Eight<Isa> larger(const Eight<Isa>& x, const Eight<Isa>& y) {
  Eight<Isa> result;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p) result.part[p] = Isa::larger(x.part[p], y.part[p]);
  return result;
}

template <class Isa>
Eight<Isa> smaller(const Eight<Isa>& x, const Eight<Isa>& y) {
  Eight<Isa> result;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p) result.part[p] = Isa::smaller(x.part[p], y.part[p]);
  return result;
}

template <class Isa>
Eight<Isa> size_of(const Eight<Isa>& x) {
  Eight<Isa> result;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p) result.part[p] = Isa::size(x.part[p]);
  return result;
}

// By lane `then` where x <= y, else `other`.
template <class Isa>
Eight<Isa> choose(const Eight<Isa>& x, const Eight<Isa>& y, const Eight<Isa>& then, const Eight<Isa>& other) {
  Eight<Isa> result;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p)
    result.part[p] = Isa::choose(x.part[p], y.part[p], then.part[p], other.part[p]);
  return result;
}

// Bits of the lanes in which x <= y is false, not-a-number included.
template <class Isa>
std::uint32_t above(const Eight<Isa>& x, const Eight<Isa>& y) {
  std::uint32_t bits = 0;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p)
    bits |= Isa::above(x.part[p], y.part[p]) << (p * sizeof(typename Isa::Vector) / sizeof(double));
  return bits;
}

// What every kind of reading starts from: q, and the size of the numbers whose difference it is.
template <class Isa>
struct Transfer {
  Eight<Isa> across;
  Eight<Isa> largest;
};

template <class Isa>
Transfer<Isa> transfer_near(const Lanes* z, const SweepChange& change) {
  const auto a = Eight<Isa>::load(z[change.a]);
  const auto b = Eight<Isa>::load(z[change.b]);
  return {a - b, larger(size_of(a), size_of(b))};
}

// All terms or only the first few, the others being zero: the bits are the same.
template <class Isa, std::size_t terms, class Far>
Eight<Isa> across_far(const Lanes* z, const Far& change) {
  using E = Eight<Isa>;
  E sum = E::all(change.share[0]) * E::load(z[change.to[0]]);
  for (std::size_t t = 1; t < terms; ++t) sum = sum + E::all(change.share[t]) * E::load(z[change.to[t]]);
  return sum;
}

template <class Isa>
Transfer<Isa> transfer_far(const Lanes* z, const FarChange& change, const FarBound& bound) {
  using E = Eight<Isa>;
  E largest = E::all(0.0);
  for (std::size_t t = 0; t < far_terms; ++t)
    largest = largest + E::all(bound.most[t]) * size_of(E::load(z[change.to[t]]));
  return {across_far<Isa, far_terms>(z, change), largest};
}

}  // namespace
}  // namespace loomgraft::readings
