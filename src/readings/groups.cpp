// What the sweep has no answer to, a few changes at a time: those of several branches, and those under which
// something bends otherwise, along their paths; the rest solved in full. Every bridge that such a change makes
// has its place in the network beforehand, open, so that all of it is changes of branches.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "readings/engine_internal.h"

namespace loomgraft::readings {
namespace {

// Of sweep_rounding, what a sum along a path makes up.
constexpr double roundings = 30.0;

std::pair<NodeId, NodeId> ends_of(const Bridge& bridge) {
  return std::minmax(bridge.a, bridge.b);
}

PathChange laid_out(const Roomy& roomy, const NetworkChange& change) {
  std::map<std::size_t, double> conductance;
  for (const BranchChange& one : change.branches)
    conductance[roomy.network.branches[one.branch].index] = 1.0 / one.resistance.si;
  for (const Bridge& bridge : change.bridges) {
    if (bridge.a != bridge.b) conductance[roomy.held_open.at(ends_of(bridge))] += 1.0 / bridge.resistance.si;
  }
  PathChange laid;
  for (const auto& [place, value] : conductance) {
    const Resistor& resistor = roomy.network.circuit.resistors[place];
    laid.branches.push_back(place);
    laid.values.push_back({resistor.a.value, resistor.b.value, value, 0.0});
  }
  return laid;
}

// Through every step of the relays; the last one's is what the readings are taken from.
std::optional<PathChange> fitted_through(Roomy& roomy, const NetworkChange& change) {
  const PathChange laid = laid_out(roomy, change);
  std::optional<PathChange> fit;
  for (RoomyStep& step : roomy.steps) {
    fit = fitted(*step.settled, laid, *step.work);
    if (!fit) break;
  }
  return fit;
}

NodalBranch branch_under(const PathChange& change, const Settled& settled, std::size_t branch) {
  const auto found = std::ranges::find(change.branches, branch);
  if (found == change.branches.end()) return settled.branches[branch];
  return change.values[static_cast<std::size_t>(found - change.branches.begin())];
}

// ---- the network with places held open
void hold_open(Roomy& roomy, const NetworkChange& change) {
  auto& resistors = roomy.network.circuit.resistors;
  for (const Bridge& bridge : change.bridges) {
    if (bridge.a == bridge.b) continue;
    const auto [place, is_new] = roomy.held_open.try_emplace(ends_of(bridge), resistors.size());
    if (is_new) resistors.push_back({bridge.a, bridge.b, {std::numeric_limits<double>::infinity()}});
  }
}

void add_step(Roomy& roomy, Settled settled) {
  roomy.steps.push_back({std::make_unique<const Settled>(std::move(settled)), nullptr});
  RoomyStep& step = roomy.steps.back();
  step.work = std::make_unique<ChangedFronts>(*step.settled->tree, step.settled->fronts);
}

// Each step of the relays in which the healthy network comes to rest.
void settle_steps(const Engine& engine, Roomy& roomy) {
  std::shared_ptr<const FrontTree> tree = roomy.held_open.empty() ? engine.settled.tree : nullptr;
  if (engine.steps.empty()) {
    if (auto settled = settle_straight(roomy.network.circuit, tree)) add_step(roomy, std::move(*settled));
    return;
  }
  for (const RelayStep& step : engine.steps) {
    set_contacts(roomy.network, step.now);
    add_step(roomy, settle(roomy.network, step, tree));
    tree = roomy.steps.back().settled->tree;
  }
}

Position root_of(std::vector<Position>& parent, Position node) {
  while (parent[node] != node) node = parent[node] = parent[parent[node]];
  return node;
}

// Positions that anything but the reference joins, by one of them.
std::vector<Position> islands_of(const Settled& settled) {
  std::vector<Position> parent(settled.tree->count);
  std::iota(parent.begin(), parent.end(), Position{0});
  for (const NodalBranch& branch : settled.branches) {
    const Dipole dipole = settled.dipole({branch.a}, {branch.b});
    if (branch.conductance == 0.0 || std::max(dipole.plus, dipole.minus) == settled.tree->count) continue;
    parent[root_of(parent, dipole.plus)] = root_of(parent, dipole.minus);
  }
  for (Position k = 0; k < parent.size(); ++k) parent[k] = root_of(parent, k);
  return parent;
}

Roomy roomy_for(Engine& engine, std::span<const std::size_t> group) {
  Roomy roomy;
  roomy.network = bare_network(engine);
  for (const std::size_t k : group) {
    if (engine.lowered[k].is_plain) hold_open(roomy, engine.changes[k]);
  }
  if (engine.settled.rests) settle_steps(engine, roomy);
  if (!roomy.steps.empty()) roomy.island = islands_of(*roomy.steps.back().settled);
  return roomy;
}

// The network with a change made in it; bridges take the places that are held open for them.
LoomNetwork changed_in(const Roomy& roomy, const NetworkChange& change) {
  NetworkChange rest = change;
  std::erase_if(rest.bridges, [&](const Bridge& one) { return roomy.held_open.contains(ends_of(one)); });
  LoomNetwork network = changed(roomy.network, rest);
  for (const Bridge& bridge : change.bridges) {
    const auto place = roomy.held_open.find(ends_of(bridge));
    if (place == roomy.held_open.end()) continue;
    Ohms& ohms = network.circuit.resistors[place->second].resistance;
    ohms = {1.0 / (1.0 / ohms.si + 1.0 / bridge.resistance.si)};
  }
  return network;
}

// ---- readings
// What an ampere through each changed branch does, in the healthy and in the changed network: by that the
// resistance between any two nodes differs, z' = z - sum of d q q'.
struct Response {
  std::vector<double> volts;  // by position
  double largest = 0.0;       // what rounding is a share of: currents that cancel leave the digits they had
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

Responses responses_of(const Settled& settled, const PathChange& change, ChangedFronts& work) {
  const std::size_t count = change.branches.size();
  Responses responses{{}, std::vector<Response>(count), std::vector<Response>(count)};
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t branch = change.branches[i];
    responses.step.push_back(change.values[i].conductance - settled.branches[branch].conductance);
    respond(work, settled.dipole_of(branch), responses.after[i]);
  }
  work.restore();
  for (std::size_t i = 0; i < count; ++i)
    respond(work, settled.dipole_of(change.branches[i]), responses.before[i]);
  work.change(change.branches, change.values);
  return responses;
}

// What a voltmeter between the probes has behind it; nothing where too few digits are left of the difference
// for what it takes. Currents that cancel leave the digits they had, so what is off is a share of what an
// ampere from either probe to the reference would raise.
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

std::vector<bool> touched_by(const Roomy& roomy, const Settled& settled, const PathChange& change) {
  std::vector<bool> touched(roomy.island.size(), false);
  for (const std::size_t branch : change.branches) {
    const Dipole dipole = settled.dipole_of(branch);
    for (const Position end : {dipole.plus, dipole.minus}) {
      if (end < settled.tree->count) touched[roomy.island[end]] = true;
    }
  }
  return touched;
}

// All that one change needs for its readings.
struct UnderChange {
  const Engine& engine;
  const Roomy& roomy;
  const Settled& settled;
  const PathChange& change;
  ChangedFronts& work;
  Rooms rooms;
  std::vector<double> volts;  // by position
  std::vector<bool> touched;  // by island
  Responses responses;        // where the network is not dead
};

double amperes_under(const UnderChange& under, const Probe& probe) {
  const std::size_t clamped = place_in_settled(under.roomy.network, probe.test.clamp);
  const NodalBranch branch = branch_under(under.change, under.settled, clamped);
  const Dipole dipole = under.settled.dipole_of(clamped);
  const double across = under.volts[dipole.plus] - under.volts[dipole.minus];
  return branch.conductance * (across - branch.emf) + under.settled.held[clamped];
}

// Whether the change touches nothing that the probes are joined to but by the reference.
bool is_apart(const UnderChange& under, Dipole dipole) {
  const auto apart = [&](Position end) {
    return end == under.settled.tree->count || !under.touched[under.roomy.island[end]];
  };
  return apart(dipole.plus) && apart(dipole.minus);
}

std::optional<double> quick_ohms(const UnderChange& under, const Probe& probe, Dipole dipole) {
  if (probe.test.kind == MeterKind::volts)
    return ohms_under(under.responses, dipole, probe, under.engine.meter.conductance);
  if (!under.settled.dead || !is_apart(under, dipole)) return std::nullopt;
  return probe.healthy_ohms;
}

// Where the resistance is sure and the meter's current is far from moving anything: no path is walked.
std::optional<double> quick_reading(const UnderChange& under, const Probe& probe, Dipole dipole) {
  const auto ohms = quick_ohms(under, probe, dipole);
  if (!ohms) return std::nullopt;
  const MeterFigures& meter = under.engine.meter;
  const MeterKind kind = probe.test.kind;
  const double across = under.volts[dipole.plus] - under.volts[dipole.minus];
  const double reading = kind == MeterKind::ohms ? *ohms : across / (1.0 + meter.conductance * *ohms);
  const double most = std::abs(meter.current(kind, reading)) * *ohms * under.rooms.most;
  return std::isfinite(reading) && most <= 1.0 ? std::optional(reading) : std::nullopt;
}

std::optional<double> reading_under(const UnderChange& under, const Probe& probe) {
  if (probe.test.kind == MeterKind::amperes) return amperes_under(under, probe);
  const Dipole dipole = under.settled.dipole(probe.test.red, probe.test.black);
  if (probe.ideal) return under.volts[dipole.plus] - under.volts[dipole.minus];
  if (const auto quick = quick_reading(under, probe, dipole)) return quick;
  return reading_in(under.work, under.settled, under.rooms, under.change, under.engine.meter, probe.test.kind,
                    dipole);
}

void read_along_path(Engine& engine, Roomy& roomy, const NetworkChange& change, const PathChange& fit,
                     std::span<const Probe> probes, std::span<double> readings) {
  RoomyStep& last = roomy.steps.back();
  ChangedFronts& work = *last.work;
  work.change(fit.branches, fit.values);
  const auto all = work.all_volts();
  std::vector<double> volts(all.begin(), all.end());
  Rooms rooms = rooms_under(*last.settled, volts, fit);
  const UnderChange under{engine,
                          roomy,
                          *last.settled,
                          fit,
                          work,
                          std::move(rooms),
                          std::move(volts),
                          touched_by(roomy, *last.settled, fit),
                          wants_ohms_of_volts(probes) ? responses_of(*last.settled, fit, work) : Responses{}};
  std::optional<LoomNetwork> network;
  for (std::size_t k = 0; k < probes.size(); ++k) {
    if (const auto reading = reading_under(under, probes[k])) {
      readings[k] = *reading;
      continue;
    }
    if (!network) network = changed_in(roomy, change);
    readings[k] = read_in_full(engine, *network, probes[k]);
  }
}

}  // namespace

void read_group(Engine& engine, std::span<const std::size_t> group, std::span<const Probe> probes,
                std::span<std::vector<double>> readings) {
  Roomy roomy = roomy_for(engine, group);
  for (std::size_t k = 0; k < group.size(); ++k) {
    if (engine.stop.stop_requested()) return;
    const NetworkChange& change = engine.changes[group[k]];
    const bool may_fit = !roomy.steps.empty() && engine.lowered[group[k]].is_plain;
    const auto fit = may_fit ? fitted_through(roomy, change) : std::nullopt;
    if (fit) {
      read_along_path(engine, roomy, change, *fit, probes, readings[k]);
    } else {
      LoomNetwork network = changed_in(roomy, change);
      const bool same_ends = network.circuit.resistors.size() == roomy.network.circuit.resistors.size() &&
                             std::ranges::none_of(change.sources, &SourceChange::reversed);
      read_solved(engine, std::move(network),
                  same_ends && !roomy.steps.empty() ? roomy.steps.back().settled->tree : nullptr, probes,
                  readings[k]);
    }
  }
}

}  // namespace loomgraft::readings
