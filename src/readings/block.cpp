// Eight tests over all changes: those in other subtrees all at once, those in the probes' subtrees one by
// one, and the doubtful pairs again, by the cheapest way that is valid.
#include <algorithm>
#include <cmath>

#include "readings/engine_internal.h"

namespace loomgraft::readings {
namespace {

// A meter in ohms divides the volts across it by its own current, which depends on them: both must be right
// to a millionth of the smallest figure that matters.
constexpr double ohms_floor = 1e-13 / sweep_rounding * sweep_doubt;

// The volts across the clamped branch for a milliampere.
double volts_of_milliampere(const Engine& engine, const Probe& probe) {
  const double g =
      engine.linearised.branches[linearised_index(*engine.network, probe.test.clamp)].conductance;
  return 1e-3 / std::max(g, 1e-3);
}

double amperes_to_volts(const Engine& engine, const Probe& probe, double amperes) {
  const std::size_t at = linearised_index(*engine.network, probe.test.clamp);
  const NodalBranch& branch = engine.linearised.branches[at];
  return (amperes - engine.linearised.held[at]) / branch.conductance + branch.emf;
}

// The same check as the sweep's, from figures with all their digits.
bool meter_moves_nothing(const Engine& engine, const Sweeper& sweeper, const Block& block, std::size_t lane,
                         const SweepChange& sweep, double reading) {
  const Probe& probe = block.probes[lane];
  if (probe.ideal) return true;
  const double q = sweeper.across({sweep.a, sweep.b}, lane);
  const double taken =
      block.tests.couple.at[lane] * sweep.strain + std::abs(sweep.stiffness * q) * sweep.couple;
  return std::abs(engine.meter.current(probe.test.kind, reading)) * taken <= 1.0;
}

// For a meter that puts an element on another piece. A bridge has no branch in the factorisation.
std::optional<double> reading_loaded(const Engine& engine, Sweeper& sweeper, const Probe& probe,
                                     const LoweredChange& change) {
  if (change.is_bridge) return std::nullopt;
  NodalBranch value = engine.linearised.branches[change.branch];
  value.conductance = change.after;
  const PathChange base{{change.branch}, {value}, {}};
  const auto reading =
      reading_with_meter(sweeper.work, engine.linearised, base, engine.meter, probe.test.kind, probe.dipole);
  sweeper.work.restore();
  return reading;
}

void resolve_doubt(Engine& engine, Sweeper& sweeper, Block& block, std::size_t at, std::uint32_t lanes) {
  const LoweredChange& change = engine.lowered[at];
  std::optional<LoomNetwork> network;
  for (std::size_t lane = 0; lane < block.probes.size(); ++lane) {
    if ((lanes >> lane & 1U) == 0) continue;
    const Probe& probe = block.probes[lane];
    double& reading = block.row(lane)[at];
    if (const auto open = closer_reading(sweeper.work, engine.linearised, probe.dipole, change)) {
      reading = with_meter(engine, probe, *open);
      if (std::isfinite(reading) && meter_moves_nothing(engine, sweeper, block, lane, change.sweep, reading))
        continue;
    }
    if (probe.ideal) {
      if (!network) network = changed(bare_network(engine), engine.changes[at]);
      read_solved(engine, *network, nullptr, {&probe, 1}, {&reading, 1});
      if (probe.test.kind == MeterKind::amperes) reading = amperes_to_volts(engine, probe, reading);
      continue;
    }
    if (const auto loaded = reading_loaded(engine, sweeper, probe, change)) {
      reading = *loaded;
      continue;
    }
    if (!network) network = changed(bare_network(engine), engine.changes[at]);
    reading = read_by_full_solve(engine, *network, probe);
  }
}

// Each change once, even if both its ends are in subtrees of probes.
void gather_near(const Engine& engine, const Sweeper& sweeper, Block& block) {
  block.near.clear();
  block.near_of.clear();
  for (const std::uint32_t subtree : sweeper.touched) {
    for (const std::uint32_t k : sweeper.near.of(subtree)) {
      const std::uint32_t first = sweeper.core.subtree[sweeper.items[k].plus];
      if (first != subtree && first != no_subtree && sweeper.lanes_in[first] != 0) continue;
      block.near.push_back(engine.lowered[k].sweep);
      block.near_of.push_back(k);
    }
  }
  block.near_readings.resize(block.near.size());
}

}  // namespace

double volts_to_amperes(const Engine& engine, const Probe& probe, double volts) {
  const std::size_t at = linearised_index(*engine.network, probe.test.clamp);
  const NodalBranch& branch = engine.linearised.branches[at];
  return branch.conductance * (volts - branch.emf) + engine.linearised.held[at];
}

double with_meter(const Engine& engine, const Probe& probe, const OpenReading& open) {
  if (probe.ideal) return open.volts;
  if (probe.test.kind == MeterKind::ohms) return open.ohms;
  return open.volts / (1.0 + engine.meter.conductance * open.ohms);
}

Block block_of(const Engine& engine, const Sweeper& sweeper) {
  Block block;
  block.far = far_table(engine, sweeper.core);
  block.doubts.resize(block.far.at.size());
  for (std::vector<Lanes>& row : block.rows) row.resize(block.far.groups.size() + 1);
  return block;
}

void set_up(const Engine& engine, Sweeper& sweeper, Block& block) {
  const MeterKind kind = block.probes[0].test.kind;
  const bool ideal = block.probes[0].ideal;
  SweepDipoles dipoles;
  block.tests = {};
  block.tests.conductance = kind == MeterKind::volts && !ideal ? engine.meter.conductance : 0.0;
  const bool ohms_in_place = kind == MeterKind::ohms && ideal;
  block.tests.watched = !engine.linearised.watched.empty() && !ideal;
  block.tests.grain = ohms_in_place ? 0.0 : 1.0;
  block.tests.meter_volts = engine.meter.volts;
  block.tests.meter_ohms = engine.meter.ohms;
  block.tests.meter_amperes = engine.meter.amperes;
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    dipoles.at[lane] = sweeper.nowhere();
    block.tests.floor.at[lane] = ohms_in_place ? ohms_floor : 1e-3;
    if (lane >= block.probes.size()) continue;
    const Probe& probe = block.probes[lane];
    Carried carried;
    sweeper.work.carry(probe.dipole, carried);
    dipoles.at[lane] = probe.dipole;
    block.tests.volts.at[lane] = sweeper.work.volts(probe.dipole);
    block.tests.ohms.at[lane] = sweeper.work.resistance(carried);
    if (kind == MeterKind::amperes) block.tests.floor.at[lane] = volts_of_milliampere(engine, probe);
  }
  sweeper.solve(dipoles, block.tests);
  if (ideal) block.tests.couple = {};
}

void read_block(Engine& engine, Sweeper& sweeper, Block& block) {
  set_up(engine, sweeper, block);
  const SweepKernel& kernel = *engine.kernel;
  const bool ohms = block.probes[0].test.kind == MeterKind::ohms && !block.probes[0].ideal;
  double* rows[sweep_lanes];
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) rows[lane] = block.row(lane);
  const auto far = ohms ? kernel.far_ohms : kernel.far_volts;
  std::size_t doubts = far(sweeper.z.data(), block.far.view(), block.tests, rows, block.doubts.data());
  for (std::size_t k = 0; k < doubts; ++k) {
    const auto [change, lanes] = block.doubts[k];
    resolve_doubt(engine, sweeper, block, change, lanes & ~sweeper.lanes_near(sweeper.items[change]));
  }
  gather_near(engine, sweeper, block);
  const auto near = ohms ? kernel.ohms : kernel.volts;
  doubts = near(sweeper.z.data(), block.near, block.tests, block.near_readings.data(), block.doubts.data());
  for (std::size_t k = 0; k < block.near.size(); ++k) {
    const std::uint32_t lanes = sweeper.lanes_near(sweeper.items[block.near_of[k]]);
    for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
      if ((lanes >> lane & 1U) != 0) rows[lane][block.near_of[k]] = block.near_readings[k].at[lane];
    }
  }
  for (std::size_t k = 0; k < doubts; ++k) {
    const std::uint32_t change = block.near_of[block.doubts[k].change];
    const std::uint32_t lanes = sweeper.lanes_near(sweeper.items[change]);
    resolve_doubt(engine, sweeper, block, change, block.doubts[k].lanes & lanes);
  }
}

double healthy_reading(const Engine& engine, const Block& block, std::size_t lane) {
  return with_meter(engine, block.probes[lane], {block.tests.volts.at[lane], block.tests.ohms.at[lane]});
}

}  // namespace loomgraft::readings
