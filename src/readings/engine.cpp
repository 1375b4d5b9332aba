// A network made ready for all its changes, and what must be solved anew.
#include <algorithm>
#include <cmath>
#include <limits>

#include "circuit/law.h"
#include "readings/engine_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

// The relays' way to rest, each step as it finds the network.
tl::expected<void, Problem> settle_steps(Engine& engine) {
  LoomNetwork& network = *engine.bared;
  const auto solution = solve(network, engine.solver, &engine.steps);
  if (!solution) return tl::unexpected(solution.error());
  for (const RelayStep& step : engine.steps) {
    set_contacts(network, step.now);
    engine.settled = settle(network, step, engine.settled.tree);
    weigh_changes(engine.settled, engine.lowered);
    watch_changes(engine.settled, *engine.kernel, engine.lowered);
  }
  if (!engine.settled.rests) {
    for (LoweredChange& change : engine.lowered) change.in_full = true;
  }
  return {};
}

}  // namespace

tl::expected<Engine, Problem> engine_of(const LoomNetwork& network, std::span<const NetworkChange> changes,
                                        const SweepKernel& kernel) {
  Engine engine;
  engine.network = &network;
  engine.changes = changes;
  engine.meter = meter_figures();
  engine.kernel = &kernel;
  engine.lowered = lower(network, changes);
  auto settled = is_straight(network) ? settle_straight(network.circuit) : std::nullopt;
  if (settled) {
    engine.settled = std::move(*settled);
    weigh_changes(engine.settled, engine.lowered);
  } else {
    engine.network = &bare_network(engine);
    if (auto done = settle_steps(engine); !done) return tl::unexpected(done.error());
  }
  for (std::size_t k = 0; k < engine.lowered.size(); ++k) {
    if (engine.lowered[k].in_full) engine.in_full.push_back(k);
  }
  return engine;
}

const LoomNetwork& bare_network(Engine& engine) {
  if (!engine.bared) engine.bared = std::make_unique<LoomNetwork>(bare(*engine.network));
  return *engine.bared;
}

std::vector<Dipole> dipoles_of(const Engine& engine) {
  const Position nowhere = engine.settled.tree->count;
  std::vector<Dipole> dipoles;
  dipoles.reserve(engine.lowered.size());
  for (const LoweredChange& change : engine.lowered)
    dipoles.push_back(change.in_full ? Dipole{nowhere, nowhere} : change.dipole());
  return dipoles;
}

FarTable far_table(const Engine& engine, const Crown& crown) {
  const std::vector<Dipole> dipoles = dipoles_of(engine);
  const std::size_t groups = (dipoles.size() + sweep_lanes - 1) / sweep_lanes;
  FarTable table;
  table.at.resize(groups * sweep_lanes);
  table.bound.resize(groups * sweep_lanes);
  table.groups.resize(groups);
  for (std::size_t k = 0; k < dipoles.size(); ++k) {
    const FarDipole far = far_dipole(crown, dipoles[k]);
    std::copy_n(far.to, far_terms, table.at[k].to);
    std::copy_n(far.share, far_terms, table.at[k].share);
    std::copy_n(far.most, far_terms, table.bound[k].most);
    FarGroup& group = table.groups[k / sweep_lanes];
    group.terms = std::max(group.terms, far.terms);
    if (engine.lowered[k].in_full) continue;
    const SweepChange& sweep = engine.lowered[k].sweep;
    table.at[k].flow = sweep.flow;
    table.at[k].stiffness = sweep.stiffness;
    table.bound[k].strain = sweep.strain;
    table.bound[k].couple = sweep.couple;
    group.flow_size = std::max(group.flow_size, std::abs(sweep.flow));
    group.stiffness_size = std::max(group.stiffness_size, std::abs(sweep.stiffness));
    group.weight = std::max(group.weight, std::abs(sweep.stiffness) * far.size() * far.size());
  }
  return table;
}

Probe probe_of(const LoomNetwork& network, const Settled& settled, const DictionaryTest& test,
               std::size_t at) {
  Probe probe{test, {}, test.kind == MeterKind::amperes, at};
  if (probe.ideal) {
    const NodalBranch& branch = settled.branches[place_in_settled(network, test.clamp)];
    probe.dipole = settled.dipole({branch.a}, {branch.b});
  } else {
    probe.dipole = settled.dipole(test.red, test.black);
  }
  return probe;
}

double read_in_full(Engine& engine, const LoomNetwork& network, const Probe& probe) {
  ++engine.count.in_full;
  const auto reading = reading_in_full(network, probe.test, engine.solver, engine.steps);
  return reading ? *reading : none;
}

void read_solved(Engine& engine, LoomNetwork network, std::shared_ptr<const FrontTree> tree,
                 std::span<const Probe> probes, std::span<double> readings) {
  std::vector<RelayStep> steps;
  const auto solution = solve(network, engine.solver, &steps, engine.steps);
  if (!solution) return std::fill(readings.begin(), readings.end(), none);
  const Settled settled = settle(network, steps.back(), std::move(tree));
  ChangedFronts work(*settled.tree, settled.fronts);
  for (std::size_t k = 0; k < probes.size(); ++k) {
    const Probe probe = probe_of(network, settled, probes[k].test, probes[k].at);
    if (probe.test.kind == MeterKind::amperes) {
      readings[k] = branch_current(network, *solution, probe.test.clamp).si;
    } else if (probes[k].ideal) {
      readings[k] = work.volts(probe.dipole);
    } else {
      const auto reading = settled.rests ? reading_in(work, settled, settled.rooms, {}, engine.meter,
                                                      probe.test.kind, probe.dipole)
                                         : std::nullopt;
      readings[k] = reading ? *reading : read_in_full(engine, network, probe);
    }
  }
}

}  // namespace loomgraft::readings
