// A network prepared for all its changes, and full solves for what the sweep cannot answer.
#include <algorithm>
#include <cmath>
#include <limits>

#include "circuit/law.h"
#include "readings/engine_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

// Every step of the relays until they rest.
tl::expected<void, Problem> linearise_steps(Engine& engine) {
  LoomNetwork& network = *engine.bared;
  const auto solution = solve(network, engine.solver, &engine.steps);
  if (!solution) return tl::unexpected(solution.error());
  for (const RelayStep& step : engine.steps) {
    set_contacts(network, step.now);
    engine.linearised = linearise(network, step, engine.linearised.tree);
    weigh_changes(engine.linearised, engine.lowered);
    watch_changes(engine.linearised, *engine.kernel, engine.lowered);
  }
  engine.near = engine.steps;
  if (!engine.linearised.rests) {
    for (LoweredChange& change : engine.lowered) change.needs_full_solve = true;
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
  auto linearised = is_linear(network) ? linearise_plain(network.circuit) : std::nullopt;
  if (linearised) {
    engine.linearised = std::move(*linearised);
    weigh_changes(engine.linearised, engine.lowered);
  } else {
    engine.network = &bare_network(engine);
    if (auto done = linearise_steps(engine); !done) return tl::unexpected(done.error());
  }
  for (std::size_t k = 0; k < engine.lowered.size(); ++k) {
    if (engine.lowered[k].needs_full_solve) engine.full_solves.push_back(k);
  }
  return engine;
}

const LoomNetwork& bare_network(Engine& engine) {
  if (!engine.bared) engine.bared = std::make_unique<LoomNetwork>(bare(*engine.network));
  return *engine.bared;
}

std::vector<Dipole> dipoles_of(const Engine& engine) {
  const Position nowhere = engine.linearised.tree->count;
  std::vector<Dipole> dipoles;
  dipoles.reserve(engine.lowered.size());
  for (const LoweredChange& change : engine.lowered)
    dipoles.push_back(change.needs_full_solve ? Dipole{nowhere, nowhere} : change.dipole());
  return dipoles;
}

FarTable far_table(const Engine& engine, const TreeCore& core) {
  const std::vector<Dipole> dipoles = dipoles_of(engine);
  const std::size_t groups = (dipoles.size() + sweep_lanes - 1) / sweep_lanes;
  FarTable table;
  table.at.resize(groups * sweep_lanes);
  table.bound.resize(groups * sweep_lanes);
  table.groups.resize(groups);
  for (std::size_t k = 0; k < dipoles.size(); ++k) {
    const FarDipole far = far_dipole(core, dipoles[k]);
    std::copy_n(far.to, far_terms, table.at[k].to);
    std::copy_n(far.share, far_terms, table.at[k].share);
    std::copy_n(far.most, far_terms, table.bound[k].most);
    FarGroup& group = table.groups[k / sweep_lanes];
    group.terms = std::max(group.terms, far.terms);
    if (engine.lowered[k].needs_full_solve) continue;
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

Probe probe_of(const LoomNetwork& network, const LinearisedNetwork& linearised, const DictionaryTest& test,
               std::size_t at) {
  Probe probe{test, {}, test.kind == MeterKind::amperes, at};
  if (probe.ideal) {
    const NodalBranch& branch = linearised.branches[linearised_index(network, test.clamp)];
    probe.dipole = linearised.dipole({branch.a}, {branch.b});
  } else {
    probe.dipole = linearised.dipole(test.red, test.black);
  }
  return probe;
}

double read_by_full_solve(Engine& engine, const LoomNetwork& network, const Probe& probe) {
  ++engine.count.by_full_solve;
  const auto reading = reading_by_full_solve(network, probe.test, engine.solver, engine.steps);
  return reading ? *reading : none;
}

namespace {

// What a meter shows in a network whose relays oscillate: they go through the same steps as without it, as long as its
// current moves nothing in any of them; the last one is read.
class OscillatingReader {
 public:
  OscillatingReader(LoomNetwork& network, std::span<const RelayStep> steps,
                    std::shared_ptr<const FrontTree> tree) {
    linearised_.reserve(steps.size());
    work_.reserve(steps.size());
    for (const RelayStep& step : steps) {
      set_contacts(network, step.now);
      linearised_.push_back(linearise(network, step, tree));
      tree = linearised_.back().tree;
      work_.emplace_back(*tree, linearised_.back().fronts);
    }
  }

  const LinearisedNetwork& last() const { return linearised_.back(); }

  std::optional<double> read(const MeterFigures& meter, const DictionaryTest& test) {
    std::optional<double> reading;
    for (std::size_t k = 0; k < linearised_.size(); ++k) {
      const LinearisedNetwork& one = linearised_[k];
      reading =
          linear_reading(work_[k], one, one.headroom, meter, test.kind, one.dipole(test.red, test.black));
      if (!reading) return std::nullopt;
    }
    return reading;
  }

 private:
  std::vector<LinearisedNetwork> linearised_;
  std::vector<ChangedFronts> work_;
};

// Relays that a change moved stand so under many others too: where to begin with those.
void note_positions(std::vector<RelayStep>& met, std::vector<RelayStep>& near) {
  constexpr std::size_t most_kept = 32;
  for (RelayStep& step : met) {
    const bool known = std::ranges::find(near, step.now, &RelayStep::now) != near.end();
    if (!known && near.size() < most_kept) near.push_back(std::move(step));
  }
}

// One test in a network on its own pieces.
double read_in_place(Engine& engine, const LoomNetwork& network, const LinearisedNetwork& linearised,
                     ChangedFronts& work, const Probe& asked, OscillatingReader* oscillating) {
  const Probe probe = probe_of(network, linearised, asked.test, asked.at);
  if (probe.test.kind == MeterKind::amperes)
    return amperes_in(linearised, linearised_index(network, probe.test.clamp));
  if (asked.ideal) return work.volts(probe.dipole);
  const auto reading = oscillating ? oscillating->read(engine.meter, probe.test)
                                   : reading_in(work, linearised, linearised.headroom, {}, engine.meter,
                                                probe.test.kind, probe.dipole);
  return reading ? *reading : read_by_full_solve(engine, network, probe);
}

}  // namespace

void read_solved(Engine& engine, LoomNetwork network, std::shared_ptr<const FrontTree> tree,
                 std::span<const Probe> probes, std::span<double> readings) {
  std::vector<RelayStep> met;
  auto quick = settled(network, engine.near, tree, &met);
  note_positions(met, engine.near);
  std::optional<OscillatingReader> oscillating;
  if (!quick) {
    std::vector<RelayStep> steps;
    if (!solve(network, engine.solver, &steps, engine.steps))
      return std::fill(readings.begin(), readings.end(), none);
    if (steps.back().now == steps.back().next)
      quick = {linearise(network, steps.back(), std::move(tree)), steps.back()};
    else
      oscillating.emplace(network, steps, std::move(tree));
  }
  const LinearisedNetwork& linearised = oscillating ? oscillating->last() : quick->linearised;
  ChangedFronts work(*linearised.tree, linearised.fronts);
  for (std::size_t k = 0; k < probes.size(); ++k)
    readings[k] =
        read_in_place(engine, network, linearised, work, probes[k], oscillating ? &*oscillating : nullptr);
}

}  // namespace loomgraft::readings
