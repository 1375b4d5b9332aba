// The inner loops of the fault dictionary: one solve for eight tests at once, then every change under each.
//
// Model   z = G^-1 t for eight test dipoles t, lane by lane; a change of one branch between a and b changes a
//         test's open volts by `flow` * q and its ohms by `stiffness` * q * q with q = z[a] - z[b]
// Needs   rows of a factorisation without subtraction (circuit/fronts.h), reference cells left out
// Gives   the same bits on every instruction set: each lane does the same sums in the same order, and nothing
//         is contracted
// Method  docs/engine-faults.md, section 3
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "circuit/fronts.h"

namespace loomgraft::readings {

inline constexpr std::size_t sweep_lanes = 8;

struct alignas(64) Lanes {
  double at[sweep_lanes] = {};
};

struct SweepRows {
  Position count = 0;
  const std::uint32_t* row = nullptr;  // one more than positions
  const Position* to = nullptr;
  const double* share = nullptr;
  const double* each = nullptr;
};

struct SweepDipoles {
  Dipole at[sweep_lanes];
  std::span<const Position> reach;  // to which any of the eight carries current, ascending
  std::span<const Position> fill;   // where z is wanted, each after all that its row names
};

// One change of one branch, as a test needs it.
struct SweepChange {
  Position a = 0;
  Position b = 0;
  double flow = 0.0;       // S v_f
  double stiffness = 0.0;  // S
  // Of the elements that must stay on their piece: the reciprocal of the smallest share of headroom that the
  // change leaves any of them, and the largest share of it that an ampere through the changed branch takes.
  double strain = 1.0;
  double couple = 0.0;
};

// The same for tests in other subtrees (core.cpp): q is a sum over few positions of the core, unused ones
// being the reference. Eight in a row are a group; the last is padded.
inline constexpr std::size_t far_terms = 4;
struct alignas(64) FarChange {
  Position to[far_terms] = {};
  double share[far_terms] = {};
  double flow = 0.0;
  double stiffness = 0.0;
};
struct FarBound {
  double most[far_terms] = {};  // the larger of the two ends' shares
  double strain = 1.0;
  double couple = 0.0;
};
struct FarGroup {
  double flow_size = 0.0;  // largest of the eight
  double stiffness_size = 0.0;
  double weight = 0.0;  // of |stiffness| * (sum of |share|)^2
  std::uint32_t terms = 0;
};
struct FarChanges {
  std::span<const FarGroup> groups;
  const FarChange* at = nullptr;
  const FarBound* bound = nullptr;
};

struct SweepTests {
  Lanes volts;   // open, healthy
  Lanes ohms;    // between the probes, healthy
  Lanes floor;   // a reading's error is compared with at least this reading
  Lanes couple;  // the largest share of any element's headroom that an ampere through the probes takes
  Lanes most;    // the largest |z| in the core
  bool watched = true;
  double grain = 1.0;        // 0: the error is compared with the floor only
  double conductance = 0.0;  // of the meter in volts
  double meter_volts = 0.0;  // of the meter in ohms
  double meter_ohms = 0.0;
  double meter_amperes = 0.0;
};

// A pair whose digits, or whose elements, must be checked again; bits by lane.
struct SweepDoubt {
  std::uint32_t change = 0;  // index among those that were read
  std::uint32_t lanes = 0;
};

struct SweepWatch {
  Lanes volts;
  Lanes low;
  Lanes high;
  Lanes per_headroom;  // reciprocal of the headroom in the healthy network
};

// The two ends of one element's spread.
struct SpanChange {
  Position a = 0;
  Position b = 0;
  double flow[2] = {};
  double stiffness[2] = {};
};
struct FarSpan {
  Position to[far_terms] = {};
  double share[far_terms] = {};
  double flow[2] = {};
  double stiffness[2] = {};
};
// Many elements to the reference of next to no current each, summed at a core position: the largest rise and
// fall of a reading, for an ampere's volts above zero at `at`; below zero they change places.
struct FaintSpan {
  Position at = 0;
  double rise = 0.0;
  double fall = 0.0;
};
struct SpanSums {
  Lanes up;        // sum of rises, as shares of the nominal reading
  Lanes down;      // sum of falls
  Lanes times_up;  // product of ratios above one
  Lanes times_down;
};

struct SweepKernel {
  const char* name = "";
  // z of the eight dipoles at the positions to fill; the reference's comes last.
  void (*solve)(const SweepRows& rows, const SweepDipoles& dipoles, Lanes* z) = nullptr;
  void (*largest)(const Lanes* z, std::span<const Position> positions, Lanes& most) = nullptr;
  // The largest |z[a] - z[b]| * per_headroom of any watched pair.
  void (*couple)(const Lanes* z, std::span<const Dipole> pairs, const double* per_headroom,
                 Lanes& most) = nullptr;
  // Readings by change; returns how many doubts were written.
  std::size_t (*volts)(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                       Lanes* out, SweepDoubt* doubts) = nullptr;
  std::size_t (*ohms)(const Lanes* z, std::span<const SweepChange> changes, const SweepTests& tests,
                      Lanes* out, SweepDoubt* doubts) = nullptr;
  // The same from the core, written to eight rows of readings by lane.
  std::size_t (*far_volts)(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                           double* const* rows, SweepDoubt* doubts) = nullptr;
  std::size_t (*far_ohms)(const Lanes* z, const FarChanges& changes, const SweepTests& tests,
                          double* const* rows, SweepDoubt* doubts) = nullptr;
  // With watched pairs as tests: the smallest share of its headroom that a change leaves, and the largest
  // share of the rest that an ampere through the changed branch takes. By change, to be joined over lanes.
  void (*watch)(const Lanes* z, std::span<const SweepChange> changes, const SweepWatch& watch,
                Lanes* headroom, Lanes* couple) = nullptr;
  void (*span)(const Lanes* z, std::span<const SpanChange> changes, const SweepTests& tests,
               SpanSums& sums) = nullptr;
  void (*faint_span)(const Lanes* z, std::span<const FaintSpan> changes, const SweepTests& tests,
                     SpanSums& sums) = nullptr;
  // `loaded`: some of these change the current of a meter in volts by more than is negligible.
  void (*far_span)(const Lanes* z, std::span<const FarSpan> changes, const SweepTests& tests, bool loaded,
                   SpanSums& sums) = nullptr;
};

// The share of a reading that its rounding error may reach before a pair is computed again; an entry of z is
// off by at most `sweep_rounding` of itself.
inline constexpr double sweep_rounding = 1e-15;
inline constexpr double sweep_doubt = sweep_rounding / 2e-8;

// All that this machine can run, slowest first.
std::span<const SweepKernel* const> sweep_kernels();

}  // namespace loomgraft::readings
