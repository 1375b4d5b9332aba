// The loops of sweep_internal.h over vectors of any width. Only the files compiled for one instruction set
// include this; everything in it stays inside their unnamed namespaces.
#pragma once

#include "readings/sweep_lanes_internal.h"
#include "readings/sweep_spans_internal.h"

namespace loomgraft::readings {
namespace {

template <class Isa>
void sweep_solve(const SweepRows& rows, const SweepDipoles& dipoles, Lanes* z) {
  using E = Eight<Isa>;
  z[rows.count] = Lanes{};
  for (const Position k : dipoles.fill) z[k] = Lanes{};
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    z[dipoles.at[lane].plus].at[lane] += 1.0;
    z[dipoles.at[lane].minus].at[lane] -= 1.0;
  }
  for (const Position k : dipoles.reach) {
    const E current = E::load(z[k]);
    for (std::uint32_t i = rows.row[k]; i < rows.row[k + 1]; ++i)
      (E::load(z[rows.to[i]]) + E::all(rows.share[i]) * current).store(z[rows.to[i]]);
    (current * E::all(rows.each[k])).store(z[k]);
  }
  z[rows.count] = Lanes{};
  for (const Position k : dipoles.fill) {
    E sum = E::load(z[k]);
    for (std::uint32_t i = rows.row[k]; i < rows.row[k + 1]; ++i)
      sum = sum + E::all(rows.share[i]) * E::load(z[rows.to[i]]);
    sum.store(z[k]);
  }
}

template <class Isa>
void sweep_largest(const Lanes* z, std::span<const Position> positions, Lanes& most) {
  using E = Eight<Isa>;
  E all = E::all(0.0);
  for (const Position k : positions) all = larger(all, size_of(E::load(z[k])));
  all.store(most);
}

template <class Isa>
void sweep_couple(const Lanes* z, std::span<const Dipole> pairs, const double* per_headroom, Lanes& most) {
  using E = Eight<Isa>;
  E all = E::all(0.0);
  for (std::size_t k = 0; k < pairs.size(); ++k) {
    const E across = E::load(z[pairs[k].plus]) - E::load(z[pairs[k].minus]);
    all = larger(all, size_of(across) * E::all(per_headroom[k]));
  }
  all.store(most);
}

// Up to here the quotient 1 / (1 - x) equals the sum of three powers to the last digit.
inline constexpr double small_load = 2e-6;

template <class Isa>
struct Volts {
  using E = Eight<Isa>;
  E volts, floor, couple, meter, grain, one, load, per_load, relief_of;
  double stiff_doubt;

  explicit Volts(const SweepTests& tests)
      : volts(E::load(tests.volts)),
        floor(E::load(tests.floor)),
        couple(E::load(tests.couple)),
        meter(E::all(tests.conductance)),
        grain(E::all(tests.grain)),
        one(E::all(1.0)),
        load(one + meter * E::load(tests.ohms)),
        per_load(one / load),
        relief_of(meter * per_load),
        stiff_doubt(sweep_doubt * tests.conductance) {}

  // The meter's load is `load` times 1 - relief.
  E few_powers(const E& open, const E& relief) const {
    return open * per_load * (one + relief * (one + relief));
  }

  template <bool watched, class Change>
  std::uint32_t read(const Transfer<Isa>& transfer, const Change& change, double strain, double most_couple,
                     E& reading) const {
    const E pull = E::all(change.stiffness) * transfer.across;
    const E open = volts - E::all(change.flow) * transfer.across;
    const E relief = relief_of * (pull * transfer.across);
    reading = few_powers(open, relief);
    if (above(size_of(relief), E::all(small_load)) != 0) {
      reading = choose(size_of(relief), E::all(small_load), reading,
                       open / (load - meter * (pull * transfer.across)));
    }
    const E flow = size_of(E::all(change.flow));
    const E stiffness = size_of(E::all(change.stiffness));
    const E error = flow * E::all(sweep_doubt) * transfer.largest;
    const E load_error = stiffness * E::all(stiff_doubt) * transfer.largest * transfer.largest;
    std::uint32_t lanes = above(error, larger(floor, size_of(open) * grain)) | above(load_error, one);
    if (watched) {
      const E taken =
          size_of(reading) * meter * (couple * E::all(strain) + size_of(pull) * E::all(most_couple));
      lanes |= above(taken, one);
    }
    return lanes;
  }
};

template <class Isa>
struct OhmsRead {
  using E = Eight<Isa>;
  E ohms, floor, couple, doubt, one, meter_volts, meter_ohms, meter_amperes;

  explicit OhmsRead(const SweepTests& tests)
      : ohms(E::load(tests.ohms)),
        floor(E::load(tests.floor)),
        couple(E::load(tests.couple)),
        doubt(E::all(sweep_doubt)),
        one(E::all(1.0)),
        meter_volts(E::all(tests.meter_volts)),
        meter_ohms(E::all(tests.meter_ohms)),
        meter_amperes(E::all(tests.meter_amperes)) {}

  template <bool watched, class Change>
  std::uint32_t read(const Transfer<Isa>& transfer, const Change& change, double strain, double most_couple,
                     E& reading) const {
    const E through = E::all(change.stiffness) * transfer.across;
    reading = ohms - through * transfer.across;
    const E pull = size_of(through);
    // q may be nothing but rounding error.
    const E slip = size_of(E::all(change.stiffness)) * E::all(sweep_rounding) * transfer.largest;
    std::uint32_t lanes = above(((pull + slip) * transfer.largest + ohms) * doubt, larger(floor, reading));
    if (watched) {
      const E amperes = smaller(meter_amperes, meter_volts / (meter_ohms + reading));
      lanes |= above(amperes * (couple * E::all(strain) + pull * E::all(most_couple)), one);
    }
    return lanes;
  }
};

template <class Isa, class Read, bool watched>
std::size_t sweep_near(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                       Lanes* out, SweepDoubt* doubts) {
  const Read read(tests);
  std::size_t found = 0;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    Eight<Isa> reading;
    const std::uint32_t lanes = read.template read<watched>(transfer_near<Isa>(z, changes[k]), changes[k],
                                                            changes[k].strain, changes[k].couple, reading);
    reading.store(out[k]);
    if (lanes != 0) doubts[found++] = {static_cast<std::uint32_t>(k), lanes};
  }
  return found;
}

template <class Isa, class Read>
std::size_t sweep_near(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                       Lanes* out, SweepDoubt* doubts) {
  return tests.watched ? sweep_near<Isa, Read, true>(z, changes, tests, out, doubts)
                       : sweep_near<Isa, Read, false>(z, changes, tests, out, doubts);
}

// A group with all checks of each pair.
template <class Isa, class Read, bool watched>
std::size_t read_group(const Lanes* z, const FarChanges& changes, std::size_t first, const Read& read,
                       Lanes* tile, SweepDoubt* doubts) {
  std::size_t found = 0;
  for (std::size_t k = 0; k < sweep_lanes; ++k) {
    const FarChange& change = changes.at[first + k];
    const FarBound& bound = changes.bound[first + k];
    Eight<Isa> reading;
    const std::uint32_t lanes = read.template read<watched>(transfer_far<Isa>(z, change, bound), change,
                                                            bound.strain, bound.couple, reading);
    reading.store(tile[k]);
    if (lanes != 0) doubts[found++] = {static_cast<std::uint32_t>(first + k), lanes};
  }
  return found;
}

template <class Isa, std::size_t terms>
void quick_volts(const Lanes* z, const FarChange* changes, const Volts<Isa>& read, Lanes* tile) {
  using E = Eight<Isa>;
  for (std::size_t k = 0; k < sweep_lanes; ++k) {
    const E across = across_far<Isa, terms>(z, changes[k]);
    const E open = read.volts - E::all(changes[k].flow) * across;
    const E pull = E::all(changes[k].stiffness) * across;
    read.few_powers(open, read.relief_of * (pull * across)).store(tile[k]);
  }
}

inline double smallest_of(const Lanes& lanes) {
  double smallest = lanes.at[0];
  for (const double one : lanes.at) smallest = one < smallest ? one : smallest;
  return smallest;
}

// Limits on the figures of a group up to which no reading in volts is doubtful in any lane, and the meter's
// load is small: q is the difference of two numbers under twice the core's largest.
struct VoltsLimits {
  double flow, stiffness, weight;
  template <class Isa>
  VoltsLimits(const SweepTests& tests, const Volts<Isa>& read) {
    using E = Eight<Isa>;
    const E most = E::load(tests.most);
    const E twice = most + most;
    const auto smallest = [](const E& x) {
      Lanes lanes;
      x.store(lanes);
      return smallest_of(lanes);
    };
    flow = smallest(read.floor / (E::all(sweep_doubt) * twice));
    stiffness = smallest(read.one / (E::all(read.stiff_doubt) * twice * twice));
    weight = small_load * smallest(read.one / (read.relief_of * most * most));
  }
  bool hold(const FarGroup& group) const {
    return group.flow_size <= flow && group.stiffness_size <= stiffness && group.weight <= weight;
  }
};

template <class Isa, bool watched>
std::size_t far_volts_if(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                         double* const* rows, SweepDoubt* doubts) {
  const Volts<Isa> read(tests);
  const VoltsLimits limits(tests, read);
  std::size_t found = 0;
  Lanes tile[sweep_lanes];
  for (std::size_t g = 0; g < changes.groups.size(); ++g) {
    const FarGroup& group = changes.groups[g];
    const std::size_t first = g * sweep_lanes;
    if (watched || !limits.hold(group)) {
      found += read_group<Isa, Volts<Isa>, watched>(z, changes, first, read, tile, doubts + found);
    } else if (group.terms <= 2) {
      quick_volts<Isa, 2>(z, changes.at + first, read, tile);
    } else if (group.terms == 3) {
      quick_volts<Isa, 3>(z, changes.at + first, read, tile);
    } else {
      quick_volts<Isa, far_terms>(z, changes.at + first, read, tile);
    }
    Isa::untangle(tile, rows, first);
  }
  return found;
}

// Returns whether no reading is doubtful.
template <class Isa, std::size_t terms>
bool quick_ohms(const Lanes* z, const FarChange* changes, double stiffness_size, const OhmsRead<Isa>& read,
                const Eight<Isa>& most, Lanes* tile) {
  using E = Eight<Isa>;
  E pull = E::all(0.0);
  E smallest = read.ohms;
  for (std::size_t k = 0; k < sweep_lanes; ++k) {
    const E across = across_far<Isa, terms>(z, changes[k]);
    const E through = E::all(changes[k].stiffness) * across;
    const E reading = read.ohms - through * across;
    reading.store(tile[k]);
    pull = larger(pull, size_of(through));
    smallest = smaller(smallest, reading);
  }
  const E slip = E::all(stiffness_size * sweep_rounding) * most;
  return above(((pull + slip) * most + read.ohms) * read.doubt, larger(read.floor, smallest)) == 0;
}

template <class Isa, bool watched>
std::size_t far_ohms_if(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                        double* const* rows, SweepDoubt* doubts) {
  using E = Eight<Isa>;
  const OhmsRead<Isa> read(tests);
  const E most = E::all(2.0) * E::load(tests.most);
  std::size_t found = 0;
  Lanes tile[sweep_lanes];
  for (std::size_t g = 0; g < changes.groups.size(); ++g) {
    const std::size_t first = g * sweep_lanes;
    const FarChange* at = changes.at + first;
    const double size = changes.groups[g].stiffness_size;
    const std::uint32_t terms = changes.groups[g].terms;
    const bool sure = !watched && (terms <= 2   ? quick_ohms<Isa, 2>(z, at, size, read, most, tile)
                                   : terms == 3 ? quick_ohms<Isa, 3>(z, at, size, read, most, tile)
                                                : quick_ohms<Isa, far_terms>(z, at, size, read, most, tile));
    if (!sure)
      found += read_group<Isa, OhmsRead<Isa>, watched>(z, changes, first, read, tile, doubts + found);
    Isa::untangle(tile, rows, first);
  }
  return found;
}

template <class Isa>
std::size_t sweep_far_volts(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                            double* const* rows, SweepDoubt* doubts) {
  return tests.watched ? far_volts_if<Isa, true>(z, changes, tests, rows, doubts)
                       : far_volts_if<Isa, false>(z, changes, tests, rows, doubts);
}

template <class Isa>
std::size_t sweep_far_ohms(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                           double* const* rows, SweepDoubt* doubts) {
  return tests.watched ? far_ohms_if<Isa, true>(z, changes, tests, rows, doubts)
                       : far_ohms_if<Isa, false>(z, changes, tests, rows, doubts);
}

template <class Isa>
void sweep_watch(const Lanes* z, std::span<const SweepChange> changes, const SweepWatch& watch,
                 Lanes* headroom, Lanes* couple) {
  using E = Eight<Isa>;
  const E volts = E::load(watch.volts);
  const E low = E::load(watch.low);
  const E high = E::load(watch.high);
  const E per_headroom = E::load(watch.per_headroom);
  const E rounding = E::all(4.0 * sweep_rounding);
  for (std::size_t k = 0; k < changes.size(); ++k) {
    const SweepChange& change = changes[k];
    const Transfer<Isa> transfer = transfer_near<Isa>(z, change);
    const E flow = E::all(change.flow);
    const E there = volts - flow * transfer.across;
    const E left =
        smaller(there - low, high - there) - rounding * (size_of(flow) * transfer.largest + size_of(volts));
    smaller(left * per_headroom, E::load(headroom[k])).store(headroom[k]);
    larger(size_of(transfer.across) / left, E::load(couple[k])).store(couple[k]);
  }
}

template <class Isa>
constexpr SweepKernel kernel_of(const char* name) {
  return {name,
          sweep_solve<Isa>,
          sweep_largest<Isa>,
          sweep_couple<Isa>,
          sweep_near<Isa, Volts<Isa>>,
          sweep_near<Isa, OhmsRead<Isa>>,
          sweep_far_volts<Isa>,
          sweep_far_ohms<Isa>,
          sweep_watch<Isa>,
          sweep_span<Isa>,
          sweep_faint_span<Isa>,
          sweep_far_span<Isa>};
}

}  // namespace
}  // namespace loomgraft::readings
