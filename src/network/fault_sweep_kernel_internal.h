// The loops of fault_sweep_internal.h over vectors of any width. Only the files that are compiled for one
// instruction set each include this; everything in it stays inside their namespaces.
#pragma once

#include "network/fault_sweep_internal.h"

namespace loomgraft {
namespace {

// Eight lanes in as many registers as it takes. `Isa` names a vector and the few operations that have no sign
// of their own.
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

// Bits of the lanes in which x <= y does not hold, numbers that are none among them.
template <class Isa>
std::uint32_t above(const Eight<Isa>& x, const Eight<Isa>& y) {
  std::uint32_t bits = 0;
  for (std::size_t p = 0; p < Eight<Isa>::parts; ++p)
    bits |= Isa::above(x.part[p], y.part[p]) << (p * sizeof(typename Isa::Vector) / sizeof(double));
  return bits;
}

template <class Isa>
void sweep_solve(const SweepRows& rows, const SweepDipoles& dipoles, Lanes* z) {
  using E = Eight<Isa>;
  for (const Position k : dipoles.reach) z[k] = Lanes{};
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    z[dipoles.at[lane].plus].at[lane] += 1.0;
    z[dipoles.at[lane].minus].at[lane] -= 1.0;
  }
  for (const Position k : dipoles.reach) {
    const E current = E::load(z[k]);
    for (std::uint32_t i = rows.row[k]; i < rows.row[k + 1]; ++i)
      (E::load(z[rows.to[i]]) + E::all(rows.share[i]) * current).store(z[rows.to[i]]);
  }
  z[rows.count] = Lanes{};
  std::size_t reached = dipoles.reach.size();
  for (Position k = rows.count; k-- > 0;) {
    E sum = E::all(0.0);
    if (reached > 0 && dipoles.reach[reached - 1] == k) {
      --reached;
      sum = E::load(z[k]) * E::all(rows.each[k]);
    }
    for (std::uint32_t i = rows.row[k]; i < rows.row[k + 1]; ++i)
      sum = sum + E::all(rows.share[i]) * E::load(z[rows.to[i]]);
    sum.store(z[k]);
  }
}

template <class Isa>
void sweep_couple(const Lanes* z, std::span<const Dipole> pairs, const double* per_room, Lanes& most) {
  using E = Eight<Isa>;
  E all = E::all(0.0);
  for (std::size_t k = 0; k < pairs.size(); ++k) {
    const E across = E::load(z[pairs[k].plus]) - E::load(z[pairs[k].minus]);
    all = larger(all, size_of(across) * E::all(per_room[k]));
  }
  all.store(most);
}

// What every kind of reading starts from.
template <class Isa>
struct Seen {
  Eight<Isa> across;   // q
  Eight<Isa> largest;  // of the two that it is the difference of
  Eight<Isa> pull;     // S q
  Seen(const Lanes* z, const SweepChange& change) {
    const auto a = Eight<Isa>::load(z[change.a]);
    const auto b = Eight<Isa>::load(z[change.b]);
    across = a - b;
    largest = larger(size_of(a), size_of(b));
    pull = Eight<Isa>::all(change.stiffness) * across;
  }
};

// Up to here a quotient by 1 - x is the sum of four powers to the last digit.
inline constexpr double small_load = 1e-4;

// `watched`: there are elements that must stay on their piece.
template <class Isa, bool watched>
std::size_t sweep_volts_if(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                           Lanes* out, SweepDoubt* doubts) {
  using E = Eight<Isa>;
  const E volts = E::load(tests.volts);
  const E ohms = E::load(tests.ohms);
  const E floor = E::load(tests.floor);
  const E couple = E::load(tests.couple);
  const E meter = E::all(tests.conductance);
  const E grain = E::all(tests.grain);
  const E one = E::all(1.0);
  const E load = one + meter * ohms;
  const E per_load = one / load;
  const E relief_of = meter * per_load;
  const double stiff_doubt = sweep_doubt * tests.conductance;
  std::size_t found = 0;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    const SweepChange& change = changes[k];
    const Seen<Isa> seen(z, change);
    const E open = volts - E::all(change.flow) * seen.across;
    // The meter's load is `load` times 1 - relief.
    const E relief = relief_of * (seen.pull * seen.across);
    E reading = open * per_load;
    if (above(size_of(relief), E::all(small_load)) == 0) {
      reading = reading * (one + relief * (one + relief * (one + relief)));
    } else {
      reading = open / (load - meter * (seen.pull * seen.across));
    }
    reading.store(out[change.at]);
    const E error = E::all(change.flow_size * sweep_doubt) * seen.largest;
    const E load_error = E::all(change.stiffness_size * stiff_doubt) * seen.largest * seen.largest;
    std::uint32_t lanes = above(error, larger(floor, size_of(open) * grain)) | above(load_error, one);
    if (watched) {
      const E taken = size_of(reading) * meter *
                      (couple * E::all(change.strain) + size_of(seen.pull) * E::all(change.couple));
      lanes |= above(taken, one);
    }
    if (lanes != 0) doubts[found++] = {static_cast<std::uint32_t>(k), lanes};
  }
  return found;
}

template <class Isa>
std::size_t sweep_volts(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                        Lanes* out, SweepDoubt* doubts) {
  return tests.watched ? sweep_volts_if<Isa, true>(z, changes, tests, out, doubts)
                       : sweep_volts_if<Isa, false>(z, changes, tests, out, doubts);
}

template <class Isa>
std::size_t sweep_ohms(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                       Lanes* out, SweepDoubt* doubts) {
  using E = Eight<Isa>;
  const E ohms = E::load(tests.ohms);
  const E floor = E::load(tests.floor);
  const E couple = E::load(tests.couple);
  const E doubt = E::all(sweep_doubt);
  const E one = E::all(1.0);
  std::size_t found = 0;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    const SweepChange& change = changes[k];
    const Seen<Isa> seen(z, change);
    const E reading = ohms - seen.pull * seen.across;
    reading.store(out[change.at]);
    const E pull = size_of(seen.pull);
    const E amperes = smaller(E::all(tests.meter_amperes),
                              E::all(tests.meter_volts) / (E::all(tests.meter_ohms) + reading));
    const E taken = amperes * (couple * E::all(change.strain) + pull * E::all(change.couple));
    const std::uint32_t lanes =
        above((pull * seen.largest + ohms) * doubt, larger(floor, reading)) | above(taken, one);
    if (lanes != 0) doubts[found++] = {static_cast<std::uint32_t>(k), lanes};
  }
  return found;
}

template <class Isa>
void sweep_watch(const Lanes* z, std::span<const SweepChange> changes, const SweepWatch& watch, Lanes* room,
                 Lanes* couple) {
  using E = Eight<Isa>;
  const E volts = E::load(watch.volts);
  const E low = E::load(watch.low);
  const E high = E::load(watch.high);
  const E per_room = E::load(watch.per_room);
  const E rounding = E::all(4.0 * sweep_rounding);
  for (std::size_t k = 0; k < changes.size(); ++k) {
    const SweepChange& change = changes[k];
    const Seen<Isa> seen(z, change);
    const E flow = E::all(change.flow);
    const E there = volts - flow * seen.across;
    const E left =
        smaller(there - low, high - there) - rounding * (size_of(flow) * seen.largest + size_of(volts));
    smaller(left * per_room, E::load(room[k])).store(room[k]);
    larger(size_of(seen.across) / left, E::load(couple[k])).store(couple[k]);
  }
}

template <class Isa>
void sweep_span(const Lanes* z, std::span<const SpanChange> changes, const SweepTests& tests,
                SpanSums& sums) {
  using E = Eight<Isa>;
  const E volts = E::load(tests.volts);
  const E ohms = E::load(tests.ohms);
  const E meter = E::all(tests.conductance);
  const E one = E::all(1.0);
  const E per_nominal = (one + meter * ohms) / volts;
  E up = E::load(sums.up);
  E down = E::load(sums.down);
  E times_up = E::load(sums.times_up);
  E times_down = E::load(sums.times_down);
  for (const SpanChange& change : changes) {
    const E across = E::load(z[change.a]) - E::load(z[change.b]);
    E open[2];
    E load[2];
    for (std::size_t end = 0; end < 2; ++end) {
      open[end] = volts - E::all(change.flow[end]) * across;
      load[end] = one + meter * (ohms - E::all(change.stiffness[end]) * across * across);
    }
    const E scale = per_nominal / (load[0] * load[1]);
    const E first = open[0] * load[1] * scale;
    const E second = open[1] * load[0] * scale;
    const E most = larger(one, larger(first, second));
    const E least = smaller(one, smaller(first, second));
    up = up + (most - one);
    down = down + (one - least);
    times_up = times_up * most;
    times_down = times_down * least;
  }
  up.store(sums.up);
  down.store(sums.down);
  times_up.store(sums.times_up);
  times_down.store(sums.times_down);
}

// From change by lane to lane by change.
template <class Isa>
void sweep_untangle(std::span<const Lanes> readings, double* const* rows) {
  for (std::size_t k = 0; k < readings.size(); ++k) {
    for (std::size_t lane = 0; lane < sweep_lanes; ++lane) rows[lane][k] = readings[k].at[lane];
  }
}

template <class Isa>
constexpr SweepKernel kernel_of(const char* name) {
  return {name,
          sweep_solve<Isa>,
          sweep_couple<Isa>,
          sweep_volts<Isa>,
          sweep_ohms<Isa>,
          sweep_watch<Isa>,
          sweep_span<Isa>,
          sweep_untangle<Isa>};
}

}  // namespace
}  // namespace loomgraft
