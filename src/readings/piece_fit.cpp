// One change in one step of the relays, along its path in the healthy factorisation: the change is made, what
// then lies on another piece of its law is put on that piece, until all fits. An operating point is unique,
// so the one that fits is the answer.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "readings/engine_internal.h"

namespace loomgraft::readings {
namespace {

// How near to its limit, in volts, a coil may come before the change is solved in full.
constexpr double near_limit = 1e-9;
// Times that elements are put on other pieces, at most; a loom takes two or three.
constexpr int most_turns = 12;

double volts_across(const Settled& settled, std::span<const double> volts, const Watched& one) {
  const Dipole dipole = settled.dipole(one.a, one.b);
  return volts[dipole.plus] - volts[dipole.minus];
}

// On another piece, as a branch. What the healthy piece holds beside its conductance stays in the network's
// currents, so only the rest of it is the branch's; nothing where a branch cannot say it.
std::optional<NodalBranch> on_piece(const Settled& settled, const Bent& bent, int piece) {
  const auto at = static_cast<std::size_t>(piece);
  NodalBranch branch = settled.branches[bent.branch];
  const double held = bent.law.held[at] - settled.held[bent.branch];
  branch.conductance = bent.law.slope[at];
  branch.emf = bent.law.emf[at];
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

int piece_of(const PathChange& change, const Settled& settled, std::size_t bent) {
  const auto turned = std::ranges::find(change.turned, bent, &TurnedPiece::bent);
  return turned == change.turned.end() ? settled.bent[bent].piece : turned->piece;
}

enum class Fit { yes, turned, no };

// Puts every element on the piece where the volts have it.
Fit turn_pieces(const Settled& settled, std::span<const double> volts, PathChange& change) {
  Fit fit = Fit::yes;
  for (const Watched& one : settled.watched) {
    const double across = volts_across(settled, volts, one);
    if (!std::isfinite(across)) return Fit::no;
    if (one.bent == no_bent) {
      if (!(across > one.low + near_limit && across < one.high - near_limit)) return Fit::no;
      continue;
    }
    const Bent& bent = settled.bent[one.bent];
    const int piece = piece_at(bent.law, across);
    if (piece == piece_of(change, settled, one.bent)) continue;
    const auto branch = on_piece(settled, bent, piece);
    if (!branch) return Fit::no;
    put(change, bent.branch, *branch);
    std::erase_if(change.turned, [&](const TurnedPiece& turned) { return turned.bent == one.bent; });
    change.turned.push_back({one.bent, piece});
    fit = Fit::turned;
  }
  return fit;
}

double climb_of(const Settled& settled, const PathChange& change) {
  double sum = 0.0;
  for (const std::size_t branch : change.branches)
    sum += settled.tree->climb[settled.tree->branch_home[branch]];
  return sum;
}

// What the meter shows between two nodes of a network that is linear, and the current that it takes from red.
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

std::optional<PathChange> fitted(const Settled& settled, const PathChange& laid, ChangedFronts& work) {
  PathChange change = laid;
  for (int turn = 0; turn < most_turns; ++turn) {
    if (!(climb_of(settled, change) < longest_climb)) return std::nullopt;
    work.change(change.branches, change.values);
    if (settled.watched.empty()) return change;
    const Fit fit = turn_pieces(settled, work.all_volts(), change);
    if (fit == Fit::yes) return change;
    if (fit == Fit::no) return std::nullopt;
  }
  return std::nullopt;
}

Rooms rooms_under(const Settled& settled, std::span<const double> volts, const PathChange& change) {
  Rooms rooms;
  for (const Watched& one : settled.watched) {
    Watched here = one;
    if (one.bent != no_bent) {
      const Bent& bent = settled.bent[one.bent];
      std::tie(here.low, here.high) = limits_of(bent.law, piece_of(change, settled, one.bent));
    }
    rooms.add(here, volts_across(settled, volts, one));
  }
  return rooms;
}

std::optional<double> reading_with_meter(ChangedFronts& work, const Settled& settled, const PathChange& base,
                                         const MeterFigures& meter, MeterKind kind, Dipole probes) {
  PathChange change = base;
  std::optional<double> reading;
  std::vector<double> raised;
  std::vector<double> volts;
  Carried carried;
  for (int turn = 0; turn < most_turns && climb_of(settled, change) < longest_climb; ++turn) {
    work.change(change.branches, change.values);
    work.carry(probes, carried);
    const MeterLoad load = load_of(meter, kind, work.volts(probes), work.resistance(carried));
    if (!std::isfinite(load.reading)) break;
    work.response(probes, raised);
    const std::span<const double> open = work.all_volts();
    volts.resize(open.size());
    for (std::size_t k = 0; k < open.size(); ++k) volts[k] = open[k] - load.amperes * raised[k];
    const Fit fit = turn_pieces(settled, volts, change);
    if (fit == Fit::yes) reading = load.reading;
    if (fit != Fit::turned) break;
  }
  work.change(base.branches, base.values);
  return reading;
}

std::optional<double> reading_in(ChangedFronts& work, const Settled& settled, const Rooms& rooms,
                                 const PathChange& base, const MeterFigures& meter, MeterKind kind,
                                 Dipole probes) {
  if (const auto quick = settled_reading(work, settled, rooms, meter, kind, probes)) return quick;
  return reading_with_meter(work, settled, base, meter, kind, probes);
}

}  // namespace loomgraft::readings
