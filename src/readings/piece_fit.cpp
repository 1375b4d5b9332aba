// One change in one step of the relays, along its path in the healthy factorisation: elements that then lie
// on another piece of their law are put on that piece, until all are consistent. The operating point is
// unique, so a consistent point is the solution.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "readings/engine_internal.h"

namespace loomgraft::readings {
namespace {

// How close to its limit, in volts, a coil may come before the change gets a full solve.
constexpr double near_limit = 1e-9;
// The most rounds of changing pieces; a loom takes two or three.
constexpr int most_turns = 12;

double volts_across(const LinearisedNetwork& linearised, std::span<const double> volts,
                    const WatchedPair& one) {
  const Dipole dipole = linearised.dipole(one.a, one.b);
  return volts[dipole.plus] - volts[dipole.minus];
}

// The branch on another piece. The current held on the healthy piece stays in the network's injected
// currents, so only the difference belongs to the branch; nothing if a branch cannot represent it.
std::optional<NodalBranch> on_piece(const LinearisedNetwork& linearised, const PiecewiseElement& nonlinear,
                                    int piece) {
  const auto at = static_cast<std::size_t>(piece);
  NodalBranch branch = linearised.branches[nonlinear.branch];
  const double held = nonlinear.law.held[at] - linearised.held[nonlinear.branch];
  branch.conductance = nonlinear.law.slope[at];
  branch.emf = nonlinear.law.emf[at];
  if (held == 0.0) return branch;
  if (branch.conductance == 0.0) return std::nullopt;
  branch.emf -= held / branch.conductance;
  return branch;
}

void put(PathChange& change, std::size_t branch, const NodalBranch& value) {
  const auto found = std::ranges::find(change.branches, branch);
  if (found != change.branches.end()) {
    change.values[static_cast<std::size_t>(found - change.branches.begin())] = value;
    return;
  }
  change.branches.push_back(branch);
  change.values.push_back(value);
}

int piece_of(const PathChange& change, const LinearisedNetwork& linearised, std::size_t nonlinear) {
  const auto turned = std::ranges::find(change.turned, nonlinear, &TurnedPiece::nonlinear);
  return turned == change.turned.end() ? linearised.nonlinear[nonlinear].piece : turned->piece;
}

enum class Fit { yes, turned, no };

// Puts every element on the piece that its volts belong to.
Fit turn_pieces(const LinearisedNetwork& linearised, std::span<const double> volts, PathChange& change) {
  Fit fit = Fit::yes;
  for (const WatchedPair& one : linearised.watched) {
    const double across = volts_across(linearised, volts, one);
    if (!std::isfinite(across)) return Fit::no;
    if (one.nonlinear == no_element) {
      if (!(across > one.low + near_limit && across < one.high - near_limit)) return Fit::no;
      continue;
    }
    const PiecewiseElement& nonlinear = linearised.nonlinear[one.nonlinear];
    const int piece = piece_at(nonlinear.law, across);
    if (piece == piece_of(change, linearised, one.nonlinear)) continue;
    const auto branch = on_piece(linearised, nonlinear, piece);
    if (!branch) return Fit::no;
    put(change, nonlinear.branch, *branch);
    std::erase_if(change.turned,
                  [&](const TurnedPiece& turned) { return turned.nonlinear == one.nonlinear; });
    change.turned.push_back({one.nonlinear, piece});
    fit = Fit::turned;
  }
  return fit;
}

double path_cost_of(const LinearisedNetwork& linearised, const PathChange& change) {
  double sum = 0.0;
  for (const std::size_t branch : change.branches)
    sum += linearised.tree->path_cost[linearised.tree->branch_home[branch]];
  return sum;
}

// What the meter shows between two nodes of a linear network, and the current that it takes from red.
struct MeterLoad {
  double reading = 0.0;
  double amperes = 0.0;
};
MeterLoad load_of(const MeterFigures& meter, MeterKind kind, double volts, double ohms) {
  if (kind == MeterKind::volts) {
    const double shown = volts / (1.0 + meter.conductance * ohms);
    return {shown, meter.conductance * shown};
  }
  const double across = meter.volts_across(volts, ohms);
  return {meter.shown_ohms(across), -meter.amperes_at(across)};
}

}  // namespace

std::optional<PathChange> fitted(const LinearisedNetwork& linearised, const PathChange& laid,
                                 ChangedFronts& work) {
  PathChange change = laid;
  for (int turn = 0; turn < most_turns; ++turn) {
    if (!(path_cost_of(linearised, change) < largest_path_cost)) return std::nullopt;
    work.change(change.branches, change.values);
    if (linearised.watched.empty()) return change;
    const Fit fit = turn_pieces(linearised, work.all_volts(), change);
    if (fit == Fit::yes) return change;
    if (fit == Fit::no) return std::nullopt;
  }
  return std::nullopt;
}

Headroom headroom_under(const LinearisedNetwork& linearised, std::span<const double> volts,
                        const PathChange& change) {
  Headroom headroom;
  for (const WatchedPair& one : linearised.watched) {
    WatchedPair here = one;
    if (one.nonlinear != no_element) {
      const PiecewiseElement& nonlinear = linearised.nonlinear[one.nonlinear];
      std::tie(here.low, here.high) = limits_of(nonlinear.law, piece_of(change, linearised, one.nonlinear));
    }
    headroom.add(here, volts_across(linearised, volts, one));
  }
  return headroom;
}

std::optional<double> reading_with_meter(ChangedFronts& work, const LinearisedNetwork& linearised,
                                         const PathChange& base, const MeterFigures& meter, MeterKind kind,
                                         Dipole probes) {
  PathChange change = base;
  std::optional<double> reading;
  std::vector<double> raised;
  std::vector<double> volts;
  Carried carried;
  for (int turn = 0; turn < most_turns && path_cost_of(linearised, change) < largest_path_cost; ++turn) {
    work.change(change.branches, change.values);
    work.carry(probes, carried);
    const MeterLoad load = load_of(meter, kind, work.volts(probes), work.resistance(carried));
    if (!std::isfinite(load.reading)) break;
    work.response(probes, raised);
    const std::span<const double> open = work.all_volts();
    volts.resize(open.size());
    for (std::size_t k = 0; k < open.size(); ++k) volts[k] = open[k] - load.amperes * raised[k];
    const Fit fit = turn_pieces(linearised, volts, change);
    if (fit == Fit::yes) reading = load.reading;
    if (fit != Fit::turned) break;
  }
  work.change(base.branches, base.values);
  return reading;
}

std::optional<double> reading_in(ChangedFronts& work, const LinearisedNetwork& linearised,
                                 const Headroom& headroom, const PathChange& base, const MeterFigures& meter,
                                 MeterKind kind, Dipole probes) {
  if (const auto quick = linear_reading(work, linearised, headroom, meter, kind, probes)) return quick;
  return reading_with_meter(work, linearised, base, meter, kind, probes);
}

}  // namespace loomgraft::readings
