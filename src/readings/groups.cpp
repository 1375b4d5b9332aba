// Changes that the sweep cannot answer, a few at a time: those of several branches, and those that put an
// element on another piece, along their paths; the rest with a full solve. The bridges of the changes are
// preallocated in the network as open branches, so that every such change is one of branches only.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/union_find.h"
#include "readings/engine_internal.h"

namespace loomgraft::readings {
namespace {

// In units of sweep_rounding: the rounding error of a sum along a path.
constexpr double roundings = 30.0;

std::pair<NodeId, NodeId> ends_of(const Bridge& bridge) {
  return std::minmax(bridge.a, bridge.b);
}

PathChange laid_out(const PreallocatedNetwork& preallocated, const NetworkChange& change) {
  std::map<std::size_t, double> conductance;
  for (const BranchChange& one : change.branches)
    conductance[preallocated.network.branches[one.branch].index] = 1.0 / one.resistance.si;
  for (const Bridge& bridge : change.bridges) {
    if (bridge.a != bridge.b)
      conductance[preallocated.open_bridges.at(ends_of(bridge))] += 1.0 / bridge.resistance.si;
  }
  PathChange laid;
  for (const auto& [place, value] : conductance) {
    const Resistor& resistor = preallocated.network.circuit.resistors[place];
    laid.branches.push_back(place);
    laid.values.push_back({resistor.a.value, resistor.b.value, value, 0.0});
  }
  return laid;
}

// Through every step of the relays; readings are taken from the last one.
std::optional<PathChange> fitted_through(PreallocatedNetwork& preallocated, const NetworkChange& change) {
  const PathChange laid = laid_out(preallocated, change);
  std::optional<PathChange> fit;
  for (PreallocatedStep& step : preallocated.steps) {
    fit = fitted(*step.linearised, laid, *step.work);
    if (!fit) break;
  }
  return fit;
}

NodalBranch branch_under(const PathChange& change, const LinearisedNetwork& linearised, std::size_t branch) {
  const auto found = std::ranges::find(change.branches, branch);
  if (found == change.branches.end()) return linearised.branches[branch];
  return change.values[static_cast<std::size_t>(found - change.branches.begin())];
}

// ---- the network with preallocated bridges
void add_open_bridges(PreallocatedNetwork& preallocated, const NetworkChange& change) {
  auto& resistors = preallocated.network.circuit.resistors;
  for (const Bridge& bridge : change.bridges) {
    if (bridge.a == bridge.b) continue;
    const auto [place, is_new] = preallocated.open_bridges.try_emplace(ends_of(bridge), resistors.size());
    if (is_new) resistors.push_back({bridge.a, bridge.b, {std::numeric_limits<double>::infinity()}});
  }
}

void add_step(PreallocatedNetwork& preallocated, LinearisedNetwork linearised) {
  preallocated.steps.push_back({std::make_unique<const LinearisedNetwork>(std::move(linearised)), nullptr});
  PreallocatedStep& step = preallocated.steps.back();
  step.work = std::make_unique<ChangedFronts>(*step.linearised->tree, step.linearised->fronts);
}

// Every step of the relays until the healthy network is at rest.
void linearise_steps(const Engine& engine, PreallocatedNetwork& preallocated) {
  std::shared_ptr<const FrontTree> tree =
      preallocated.open_bridges.empty() ? engine.linearised.tree : nullptr;
  if (engine.steps.empty()) {
    if (auto linearised = linearise_plain(preallocated.network.circuit, tree))
      add_step(preallocated, std::move(*linearised));
    return;
  }
  for (const RelayStep& step : engine.steps) {
    set_contacts(preallocated.network, step.now);
    add_step(preallocated, linearise(preallocated.network, step, tree));
    tree = preallocated.steps.back().linearised->tree;
  }
}

// By position: the first position of its island (nodes connected other than through the reference).
std::vector<Position> islands_of(const LinearisedNetwork& linearised) {
  const Position reference = linearised.tree->count;
  UnionFind sets(reference);
  for (const NodalBranch& branch : linearised.branches) {
    const Dipole dipole = linearised.dipole({branch.a}, {branch.b});
    if (branch.conductance != 0.0 && std::max(dipole.plus, dipole.minus) != reference)
      sets.join(dipole.plus, dipole.minus);
  }
  std::vector<Position> islands(reference);
  for (Position k = 0; k < reference; ++k) islands[k] = sets.root(k);
  return islands;
}

PreallocatedNetwork preallocated_for(Engine& engine, std::span<const std::size_t> group) {
  PreallocatedNetwork preallocated;
  preallocated.network = bare_network(engine);
  for (const std::size_t k : group) {
    if (engine.lowered[k].is_plain) add_open_bridges(preallocated, engine.changes[k]);
  }
  if (engine.linearised.rests) linearise_steps(engine, preallocated);
  if (!preallocated.steps.empty()) preallocated.island = islands_of(*preallocated.steps.back().linearised);
  return preallocated;
}

// The network with a change made in it; bridges use the branches preallocated for them.
LoomNetwork changed_in(const PreallocatedNetwork& preallocated, const NetworkChange& change) {
  NetworkChange rest = change;
  std::erase_if(rest.bridges,
                [&](const Bridge& one) { return preallocated.open_bridges.contains(ends_of(one)); });
  LoomNetwork network = changed(preallocated.network, rest);
  for (const Bridge& bridge : change.bridges) {
    const auto place = preallocated.open_bridges.find(ends_of(bridge));
    if (place == preallocated.open_bridges.end()) continue;
    Ohms& ohms = network.circuit.resistors[place->second].resistance;
    ohms = {1.0 / (1.0 / ohms.si + 1.0 / bridge.resistance.si)};
  }
  return network;
}

// ---- readings
// The volts that an ampere through each changed branch raises, in the healthy and in the changed network.
// From them the resistance between any two nodes follows: z' = z - sum of d q q'.
struct Response {
  std::vector<double> volts;  // by position
  double largest = 0.0;       // rounding is a share of this: currents that cancel leave its digits
};
struct Responses {
  std::vector<double> step;  // of conductance
  std::vector<Response> before;
  std::vector<Response> after;
};

void respond(ChangedFronts& work, Dipole dipole, Response& response) {
  work.response(dipole, response.volts);
  for (const double volts : response.volts) response.largest = std::max(response.largest, std::abs(volts));
}

Responses responses_of(const LinearisedNetwork& linearised, const PathChange& change, ChangedFronts& work) {
  const std::size_t count = change.branches.size();
  Responses responses{{}, std::vector<Response>(count), std::vector<Response>(count)};
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t branch = change.branches[i];
    responses.step.push_back(change.values[i].conductance - linearised.branches[branch].conductance);
    respond(work, linearised.dipole_of(branch), responses.after[i]);
  }
  work.restore();
  for (std::size_t i = 0; i < count; ++i)
    respond(work, linearised.dipole_of(change.branches[i]), responses.before[i]);
  work.change(change.branches, change.values);
  return responses;
}

// The source resistance that a voltmeter sees; nothing if too few digits are left of the difference. Currents
// that cancel leave the digits they had, so the error is a share of the volts that an ampere from either
// probe to the reference raises.
std::optional<double> ohms_under(const Responses& responses, Dipole dipole, const Probe& probe,
                                 double conductance) {
  double ohms = probe.healthy_ohms;
  double error = probe.reference_ohms;
  for (std::size_t i = 0; i < responses.step.size(); ++i) {
    const double step = responses.step[i];
    const Response& one = responses.before[i];
    const Response& other = responses.after[i];
    const double before = one.volts[dipole.plus] - one.volts[dipole.minus];
    const double after = other.volts[dipole.plus] - other.volts[dipole.minus];
    const double before_error = std::max(probe.reference_ohms, one.largest);
    const double after_error = std::max(probe.reference_ohms, other.largest);
    ohms -= step * before * after;
    error += std::abs(step) * (std::abs(before) * (after_error + std::abs(after)) +
                               std::abs(after) * before_error + sweep_rounding * before_error * after_error);
  }
  const double share = roundings * sweep_doubt * error * conductance;
  return share <= 1.0 && ohms >= 0.0 ? std::optional(ohms) : std::nullopt;
}

bool wants_ohms_of_volts(std::span<const Probe> probes) {
  return std::ranges::any_of(
      probes, [](const Probe& probe) { return probe.test.kind == MeterKind::volts && !probe.ideal; });
}

std::vector<bool> touched_by(const PreallocatedNetwork& preallocated, const LinearisedNetwork& linearised,
                             const PathChange& change) {
  std::vector<bool> touched(preallocated.island.size(), false);
  for (const std::size_t branch : change.branches) {
    const Dipole dipole = linearised.dipole_of(branch);
    for (const Position end : {dipole.plus, dipole.minus}) {
      if (end < linearised.tree->count) touched[preallocated.island[end]] = true;
    }
  }
  return touched;
}

// All that the readings under one change need.
struct UnderChange {
  const Engine& engine;
  const PreallocatedNetwork& preallocated;
  const LinearisedNetwork& linearised;
  const PathChange& change;
  ChangedFronts& work;
  Headroom headroom;
  std::vector<double> volts;  // by position
  std::vector<bool> touched;  // by island
  Responses responses;        // where the network is not dead
};

double amperes_under(const UnderChange& under, const Probe& probe) {
  const std::size_t clamped = linearised_index(under.preallocated.network, probe.test.clamp);
  const NodalBranch branch = branch_under(under.change, under.linearised, clamped);
  const Dipole dipole = under.linearised.dipole_of(clamped);
  const double across = under.volts[dipole.plus] - under.volts[dipole.minus];
  return branch.conductance * (across - branch.emf) + under.linearised.held[clamped];
}

// Whether the change touches no island of the probes.
bool is_apart(const UnderChange& under, Dipole dipole) {
  const auto apart = [&](Position end) {
    return end == under.linearised.tree->count || !under.touched[under.preallocated.island[end]];
  };
  return apart(dipole.plus) && apart(dipole.minus);
}

std::optional<double> quick_ohms(const UnderChange& under, const Probe& probe, Dipole dipole) {
  if (probe.test.kind == MeterKind::volts)
    return ohms_under(under.responses, dipole, probe, under.engine.meter.conductance);
  if (!under.linearised.dead || !is_apart(under, dipole)) return std::nullopt;
  return probe.healthy_ohms;
}

// Where the resistance is certain and the meter's current is far from moving any element: without walking a
// path.
std::optional<double> quick_reading(const UnderChange& under, const Probe& probe, Dipole dipole) {
  const auto ohms = quick_ohms(under, probe, dipole);
  if (!ohms) return std::nullopt;
  const MeterFigures& meter = under.engine.meter;
  const MeterKind kind = probe.test.kind;
  const double across = under.volts[dipole.plus] - under.volts[dipole.minus];
  const double reading = kind == MeterKind::ohms ? *ohms : across / (1.0 + meter.conductance * *ohms);
  const double most = std::abs(meter.current(kind, reading)) * *ohms * under.headroom.most;
  return std::isfinite(reading) && most <= 1.0 ? std::optional(reading) : std::nullopt;
}

std::optional<double> reading_under(const UnderChange& under, const Probe& probe) {
  if (probe.test.kind == MeterKind::amperes) return amperes_under(under, probe);
  const Dipole dipole = under.linearised.dipole(probe.test.red, probe.test.black);
  if (probe.ideal) return under.volts[dipole.plus] - under.volts[dipole.minus];
  if (const auto quick = quick_reading(under, probe, dipole)) return quick;
  return reading_in(under.work, under.linearised, under.headroom, under.change, under.engine.meter,
                    probe.test.kind, dipole);
}

void read_along_path(Engine& engine, PreallocatedNetwork& preallocated, const NetworkChange& change,
                     const PathChange& fit, std::span<const Probe> probes, std::span<double> readings) {
  PreallocatedStep& last = preallocated.steps.back();
  ChangedFronts& work = *last.work;
  work.change(fit.branches, fit.values);
  const auto all = work.all_volts();
  std::vector<double> volts(all.begin(), all.end());
  Headroom headroom = headroom_under(*last.linearised, volts, fit);
  const UnderChange under{
      engine,
      preallocated,
      *last.linearised,
      fit,
      work,
      std::move(headroom),
      std::move(volts),
      touched_by(preallocated, *last.linearised, fit),
      wants_ohms_of_volts(probes) ? responses_of(*last.linearised, fit, work) : Responses{}};
  std::optional<LoomNetwork> network;
  for (std::size_t k = 0; k < probes.size(); ++k) {
    if (const auto reading = reading_under(under, probes[k])) {
      readings[k] = *reading;
      continue;
    }
    if (!network) network = changed_in(preallocated, change);
    readings[k] = read_by_full_solve(engine, *network, probes[k]);
  }
}

}  // namespace

void read_group(Engine& engine, std::span<const std::size_t> group, std::span<const Probe> probes,
                std::span<std::vector<double>> readings) {
  PreallocatedNetwork preallocated = preallocated_for(engine, group);
  for (std::size_t k = 0; k < group.size(); ++k) {
    if (engine.stop.stop_requested()) return;
    const NetworkChange& change = engine.changes[group[k]];
    const bool may_fit = !preallocated.steps.empty() && engine.lowered[group[k]].is_plain;
    const auto fit = may_fit ? fitted_through(preallocated, change) : std::nullopt;
    if (fit) {
      read_along_path(engine, preallocated, change, *fit, probes, readings[k]);
    } else {
      LoomNetwork network = changed_in(preallocated, change);
      const bool same_ends =
          network.circuit.resistors.size() == preallocated.network.circuit.resistors.size() &&
          std::ranges::none_of(change.sources, &SourceChange::reversed);
      read_solved(
          engine, std::move(network),
          same_ends && !preallocated.steps.empty() ? preallocated.steps.back().linearised->tree : nullptr,
          probes, readings[k]);
    }
  }
}

}  // namespace loomgraft::readings
