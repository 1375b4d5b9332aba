// The effect of each element's spread on eight readings. For the files that include sweep_kernel_internal.h.
#pragma once

#include "readings/sweep_lanes_internal.h"

namespace loomgraft::readings {
namespace {

// Sums the effects of both ends of each spread on the reading, as shares of it.
template <class Isa>
struct Effects {
  using E = Eight<Isa>;
  E volts, ohms, meter, one, zero, per_volt, per_nominal, up, down, times_up, times_down;

  Effects(const SweepTests& tests, const SpanSums& sums)
      : volts(E::load(tests.volts)),
        ohms(E::load(tests.ohms)),
        meter(E::all(tests.conductance)),
        one(E::all(1.0)),
        zero(E::all(0.0)),
        per_volt(one / volts),
        per_nominal((one + meter * ohms) / volts),
        up(E::load(sums.up)),
        down(E::load(sums.down)),
        times_up(E::load(sums.times_up)),
        times_down(E::load(sums.times_down)) {}

  void add(const E& first, const E& second) {
    const E rise = larger(zero, larger(first, second));
    const E fall = smaller(zero, smaller(first, second));
    up = up + rise;
    down = down - fall;
    times_up = times_up * (one + rise);
    times_down = times_down * (one + fall);
  }
  template <class Change>
  void add_loaded(const E& across, const Change& change) {
    E open[2];
    E load[2];
    for (std::size_t end = 0; end < 2; ++end) {
      open[end] = volts - E::all(change.flow[end]) * across;
      load[end] = one + meter * (ohms - E::all(change.stiffness[end]) * across * across);
    }
    const E scale = per_nominal / (load[0] * load[1]);
    add(open[0] * load[1] * scale - one, open[1] * load[0] * scale - one);
  }
  void add_open(const E& across, const FarSpan& change) {
    const E share = across * per_volt;
    add(zero - E::all(change.flow[0]) * share, zero - E::all(change.flow[1]) * share);
  }
  void store(SpanSums& sums) const {
    up.store(sums.up);
    down.store(sums.down);
    times_up.store(sums.times_up);
    times_down.store(sums.times_down);
  }
};

template <class Isa>
void sweep_span(const Lanes* z, std::span<const SpanChange> changes, const SweepTests& tests,
                SpanSums& sums) {
  using E = Eight<Isa>;
  Effects<Isa> effects(tests, sums);
  for (const SpanChange& change : changes)
    effects.add_loaded(E::load(z[change.a]) - E::load(z[change.b]), change);
  effects.store(sums);
}

template <class Isa>
void sweep_far_span(const Lanes* z, std::span<const FarSpan> changes, const SweepTests& tests, bool loaded,
                    SpanSums& sums) {
  Effects<Isa> effects(tests, sums);
  if (loaded) {
    for (const FarSpan& change : changes) effects.add_loaded(across_far<Isa, far_terms>(z, change), change);
  } else {
    // One end of an element is above the other in the tree: three positions at most.
    for (const FarSpan& change : changes) effects.add_open(across_far<Isa, 3>(z, change), change);
  }
  effects.store(sums);
}

template <class Isa>
void sweep_faint_span(const Lanes* z, std::span<const FaintSpan> changes, const SweepTests& tests,
                      SpanSums& sums) {
  using E = Eight<Isa>;
  Effects<Isa> effects(tests, sums);
  E rise = E::all(0.0);
  E fall = E::all(0.0);
  for (const FaintSpan& change : changes) {
    const E share = E::load(z[change.at]) * effects.per_volt;
    const E above_zero = larger(effects.zero, share);
    const E below_zero = larger(effects.zero, effects.zero - share);
    rise = rise + above_zero * E::all(change.rise) + below_zero * E::all(change.fall);
    fall = fall + above_zero * E::all(change.fall) + below_zero * E::all(change.rise);
  }
  effects.add(rise, effects.zero - fall);
  effects.store(sums);
}

}  // namespace
}  // namespace loomgraft::readings
