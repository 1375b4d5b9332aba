// Blocks of eight tests over all changes at once; what the update cannot answer is solved again, as little of
// it as will do: a change in all tests, a test under all changes, or a single pair.
#include "network/fault_dictionary.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>

#include "network/fault_dictionary_internal.h"
#include "network/meter_reading_internal.h"

namespace loomgraft {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
// Readings of changes solved in full that are kept at a time.
constexpr std::size_t most_kept = std::size_t{1} << 24;

// A test as a dipole of the settled network. `ideal`: its volts with no meter beside it; for amperes those
// across the clamped branch, and for tests whose meter is part of the network.
struct Probe {
  DictionaryTest test;
  Dipole dipole;
  bool ideal = false;
  std::size_t at = 0;  // position among the tests
};

struct Engine {
  LoomNetwork network;  // bare
  std::span<const NetworkChange> changes;
  std::vector<LoweredChange> lowered;
  std::vector<SweepChange> sweeps;      // of what is not in full, in the order of elimination
  std::vector<std::uint32_t> sweep_of;  // by sweep: position among the changes
  std::vector<std::size_t> in_full;     // changes
  std::vector<RelayStep> steps;
  Settled settled;
  MeterFigures meter;
  const SweepKernel* kernel = nullptr;
  Solver solver;
  DictionaryCount count;
};

Problem bad_index(const char* what) {
  return {Severity::error,
          "no-such-place",
          {},
          std::string("A ") + what + " names a node or a branch that the network has not.",
          "Ask about nodes and branches of the same network."};
}

std::optional<Problem> check_changes(const LoomNetwork& network, std::span<const NetworkChange> changes) {
  const auto node = [&](NodeId id) { return id.value < network.circuit.node_count; };
  const auto branch = [&](std::size_t k) { return k < network.branches.size(); };
  for (const NetworkChange& change : changes) {
    bool good = true;
    for (const BranchChange& one : change.branches) good = good && branch(one.branch);
    for (const SourceChange& one : change.sources) good = good && branch(one.branch);
    for (const Bridge& one : change.bridges) good = good && node(one.a) && node(one.b);
    for (const std::size_t relay : change.relays_opposite) good = good && relay < network.relays.size();
    if (!good) return bad_index("change");
  }
  return std::nullopt;
}

void choose_sweeps(Engine& engine) {
  for (std::size_t k = 0; k < engine.lowered.size(); ++k) {
    if (engine.lowered[k].in_full) {
      engine.in_full.push_back(k);
    } else {
      engine.sweep_of.push_back(static_cast<std::uint32_t>(k));
    }
  }
  const auto home = [&](std::uint32_t k) {
    return std::min(engine.lowered[k].sweep.a, engine.lowered[k].sweep.b);
  };
  std::stable_sort(engine.sweep_of.begin(), engine.sweep_of.end(),
                   [&](std::uint32_t x, std::uint32_t y) { return home(x) > home(y); });
  for (const std::uint32_t k : engine.sweep_of) {
    SweepChange sweep = engine.lowered[k].sweep;
    sweep.flow_size = std::abs(sweep.flow);
    sweep.stiffness_size = std::abs(sweep.stiffness);
    engine.sweeps.push_back(sweep);
  }
}

// The relays must take the same way under a change, step by step.
tl::expected<Engine, Problem> engine_of(LoomNetwork network, std::span<const NetworkChange> changes,
                                        const SweepKernel& kernel) {
  Engine engine;
  engine.network = std::move(network);
  engine.changes = changes;
  engine.meter = meter_figures();
  engine.kernel = &kernel;
  const auto solution = solve(engine.network, engine.solver, &engine.steps);
  if (!solution) return tl::unexpected(solution.error());
  engine.lowered = lower(engine.network, changes);
  for (std::size_t k = 0; k < engine.steps.size(); ++k) {
    set_contacts(engine.network, engine.steps[k].now);
    engine.settled = settle(engine.network, engine.steps[k], engine.settled.tree);
    weigh_changes(engine.settled, engine.lowered);
    watch_changes(engine.settled, kernel, engine.lowered);
  }
  if (!engine.settled.rests) {
    for (LoweredChange& change : engine.lowered) change.in_full = true;
  }
  choose_sweeps(engine);
  return engine;
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

double in_full(Engine& engine, const LoomNetwork& network, const Probe& probe) {
  ++engine.count.in_full;
  const auto reading = reading_in_full(network, probe.test, engine.solver, engine.steps);
  return reading ? *reading : none;
}

// ---- one change, all tests

void read_under(Engine& engine, std::size_t change, std::span<const Probe> probes,
                std::span<double> readings) {
  LoomNetwork network = changed(engine.network, engine.changes[change]);
  std::vector<RelayStep> steps;
  const auto solution = solve(network, engine.solver, &steps, engine.steps);
  if (!solution) return std::fill(readings.begin(), readings.end(), none);
  const bool same_shape = engine.changes[change].bridges.empty() && engine.changes[change].sources.empty();
  const Settled settled = settle(network, steps.back(), same_shape ? engine.settled.tree : nullptr);
  ChangedFronts work(*settled.tree, settled.fronts);
  for (std::size_t k = 0; k < probes.size(); ++k) {
    const Probe probe = probe_of(network, settled, probes[k].test, probes[k].at);
    if (probe.test.kind == MeterKind::amperes) {
      readings[k] = branch_current(network, *solution, probe.test.clamp).si;
    } else if (probes[k].ideal) {
      readings[k] = work.volts(probe.dipole);
    } else {
      const auto reading = settled.rests
                               ? settled_reading(work, settled, engine.meter, probe.test.kind, probe.dipole)
                               : std::nullopt;
      readings[k] = reading ? *reading : in_full(engine, network, probe);
    }
  }
}

// ---- eight tests, all changes

struct Block {
  SweepTests tests;
  std::span<const Probe> probes;  // of one kind, eight at most
  std::vector<Lanes> readings;    // by change
  std::vector<SweepDoubt> doubts;
  std::vector<double> row;  // one test's, to hand out
  std::vector<double> rows[sweep_lanes];
};

// What a meter in ohms shows is as good as the volts across it and those that are left in it: both must hold
// to a millionth of the least that matters.
constexpr double ohms_floor = 1e-13 / sweep_rounding * sweep_doubt;

// What a current through the clamp is in volts across it.
double volts_of_milliampere(const Engine& engine, const Probe& probe) {
  const double g = engine.settled.branches[place_in_settled(engine.network, probe.test.clamp)].conductance;
  return 1e-3 / std::max(g, 1e-3);
}

void set_up(const Engine& engine, Sweeper& sweeper, Block& block) {
  const MeterKind kind = block.probes[0].test.kind;
  const bool ideal = block.probes[0].ideal;
  SweepDipoles dipoles;
  block.tests = {};
  block.tests.conductance = kind == MeterKind::volts && !ideal ? engine.meter.conductance : 0.0;
  const bool ohms_in_place = kind == MeterKind::ohms && ideal;
  block.tests.watched = !engine.settled.watched.empty() && !ideal;
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
  sweeper.solve(dipoles, block.tests.couple);
  if (ideal) block.tests.couple = {};
}

double volts_to_amperes(const Engine& engine, const Probe& probe, double volts) {
  const std::size_t at = place_in_settled(engine.network, probe.test.clamp);
  const NodalBranch& branch = engine.settled.branches[at];
  return branch.conductance * (volts - branch.emf) + engine.settled.held[at];
}

double amperes_to_volts(const Engine& engine, const Probe& probe, double amperes) {
  const std::size_t at = place_in_settled(engine.network, probe.test.clamp);
  const NodalBranch& branch = engine.settled.branches[at];
  return (amperes - engine.settled.held[at]) / branch.conductance + branch.emf;
}

double with_meter(const Engine& engine, const Probe& probe, const OpenReading& open) {
  if (probe.ideal) return open.volts;
  if (probe.test.kind == MeterKind::ohms) return open.ohms;
  return open.volts / (1.0 + engine.meter.conductance * open.ohms);
}

// As the sweep judges it, from figures with all their digits.
bool meter_moves_nothing(const Engine& engine, const Sweeper& sweeper, const Block& block, std::size_t lane,
                         const SweepChange& sweep, double reading) {
  const Probe& probe = block.probes[lane];
  if (probe.ideal) return true;
  const double q = sweeper.z[sweep.a].at[lane] - sweeper.z[sweep.b].at[lane];
  const double taken =
      block.tests.couple.at[lane] * sweep.strain + std::abs(sweep.stiffness * q) * sweep.couple;
  return std::abs(engine.meter.current(probe.test.kind, reading)) * taken <= 1.0;
}

void settle_doubt(Engine& engine, Sweeper& sweeper, Block& block, const SweepDoubt& doubt) {
  const SweepChange& sweep = engine.sweeps[doubt.change];
  const LoweredChange& change = engine.lowered[engine.sweep_of[doubt.change]];
  std::optional<LoomNetwork> network;
  for (std::size_t lane = 0; lane < block.probes.size(); ++lane) {
    if ((doubt.lanes >> lane & 1U) == 0) continue;
    const Probe& probe = block.probes[lane];
    double& reading = block.readings[sweep.at].at[lane];
    if (const auto open = closer_reading(sweeper.work, engine.settled, probe.dipole, change)) {
      reading = with_meter(engine, probe, *open);
      if (std::isfinite(reading) && meter_moves_nothing(engine, sweeper, block, lane, sweep, reading))
        continue;
    }
    if (probe.ideal) {
      read_under(engine, sweep.at, {&probe, 1}, {&reading, 1});
      if (probe.test.kind == MeterKind::amperes) reading = amperes_to_volts(engine, probe, reading);
      continue;
    }
    if (!network) network = changed(engine.network, engine.changes[sweep.at]);
    reading = in_full(engine, *network, probe);
  }
}

void read_block(Engine& engine, Sweeper& sweeper, Block& block) {
  set_up(engine, sweeper, block);
  const bool ohms = block.probes[0].test.kind == MeterKind::ohms && !block.probes[0].ideal;
  const auto read = ohms ? engine.kernel->ohms : engine.kernel->volts;
  const std::size_t doubts =
      read(sweeper.z.data(), engine.sweeps, block.tests, block.readings.data(), block.doubts.data());
  for (std::size_t k = 0; k < doubts; ++k) settle_doubt(engine, sweeper, block, block.doubts[k]);
}

double healthy_reading(const Engine& engine, const Block& block, std::size_t lane) {
  return with_meter(engine, block.probes[lane], {block.tests.volts.at[lane], block.tests.ohms.at[lane]});
}

// The meter itself carries something over a limit: the test needs a network with the meter in it.
bool stands_alone(const Engine& engine, const Block& block, std::size_t lane) {
  const Probe& probe = block.probes[lane];
  if (probe.ideal) return false;
  if (probe.test.kind == MeterKind::ohms && !engine.settled.dead) return true;
  const double reading = healthy_reading(engine, block, lane);
  const double taken = std::abs(engine.meter.current(probe.test.kind, reading)) * block.tests.couple.at[lane];
  return !(taken <= 1.0) || !engine.settled.rests || !std::isfinite(reading);
}

// The current of a clamped branch that is itself changed.
void correct_own_clamp(const Engine& engine, const Probe& probe, std::vector<double>& row) {
  const std::size_t at = place_in_settled(engine.network, probe.test.clamp);
  for (const LoweredChange& change : engine.lowered) {
    if (change.in_full || change.is_bridge || change.branch != at) continue;
    const double d = change.after - change.before;
    if (d != 0.0) row[change.sweep.at] = change.after * (change.sweep.flow / d);
  }
}

using Kept = std::vector<std::vector<double>>;  // by change in full, by test of the chunk

void hand_out(Engine& engine, Block& block, std::size_t lane, const TakeReadings& take) {
  const Probe& probe = block.probes[lane];
  double healthy = healthy_reading(engine, block, lane);
  std::vector<double>& row = block.rows[lane];
  if (probe.test.kind == MeterKind::amperes) {
    healthy = volts_to_amperes(engine, probe, healthy);
    for (const std::uint32_t c : engine.sweep_of) row[c] = volts_to_amperes(engine, probe, row[c]);
    correct_own_clamp(engine, probe, row);
  }
  take(probe.at, healthy, row);
}

tl::expected<DictionaryCount, Problem> run(LoomNetwork network, std::span<const DictionaryTest> tests,
                                           std::span<const NetworkChange> changes, const SweepKernel& kernel,
                                           bool ideal, const TakeReadings& take);

// The healthy network with the meter in place, and every change in that.
void read_alone(Engine& engine, const Probe& probe, std::vector<double>& row, const TakeReadings& take) {
  const MeterKind kind = probe.test.kind;
  const auto shown = [&](double volts) {
    return kind == MeterKind::ohms ? engine.meter.shown_ohms(volts) : volts;
  };
  if (probe.test.red == probe.test.black) {
    std::fill(row.begin(), row.end(), 0.0);
    return take(probe.at, 0.0, row);
  }
  LoomNetwork network = engine.network;
  add_meter(network, probe.test.red, probe.test.black, kind);
  const auto told = run(std::move(network), {&probe.test, 1}, engine.changes, *engine.kernel, true,
                        [&](std::size_t, double healthy, std::span<const double> readings) {
                          for (std::size_t c = 0; c < row.size(); ++c) row[c] = shown(readings[c]);
                          take(probe.at, shown(healthy), row);
                        });
  if (told) {
    engine.count.in_full += told->in_full;
    engine.count.by_update += told->by_update;
    return;
  }
  std::fill(row.begin(), row.end(), none);
  take(probe.at, none, row);
}

std::size_t block_end(std::span<const Probe> probes, std::size_t from) {
  std::size_t to = from + 1;
  while (to < probes.size() && to < from + sweep_lanes && probes[to].test.kind == probes[from].test.kind)
    ++to;
  return to;
}

Block block_of(const Engine& engine) {
  Block block;
  block.readings.resize(engine.changes.size());
  block.doubts.resize(engine.sweeps.size());
  block.row.resize(engine.changes.size());
  for (std::vector<double>& row : block.rows) row.resize(engine.changes.size());
  return block;
}

void run_chunk(Engine& engine, Sweeper& sweeper, std::span<const Probe> probes, const TakeReadings& take) {
  Kept kept;
  for (const std::size_t change : engine.in_full) {
    kept.emplace_back(probes.size());
    read_under(engine, change, probes, kept.back());
  }
  Block block = block_of(engine);
  double* rows[sweep_lanes];
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) rows[lane] = block.rows[lane].data();
  for (std::size_t from = 0; from < probes.size(); from += block.probes.size()) {
    block.probes = probes.subspan(from, block_end(probes, from) - from);
    read_block(engine, sweeper, block);
    engine.kernel->untangle(block.readings, rows);
    for (std::size_t lane = 0; lane < block.probes.size(); ++lane) {
      for (std::size_t k = 0; k < engine.in_full.size(); ++k)
        block.rows[lane][engine.in_full[k]] = kept[k][from + lane];
      engine.count.by_update += engine.sweeps.size();
      hand_out(engine, block, lane, take);
    }
  }
}

// Reads those that need their meter in the network at once; the others stay.
void take_out_alone(Engine& engine, Sweeper& sweeper, std::vector<Probe>& probes, const TakeReadings& take) {
  if (engine.settled.watched.empty() && engine.settled.dead && engine.settled.rests) return;
  std::vector<Probe> others;
  Block block = block_of(engine);
  const std::span<const Probe> all = probes;
  for (std::size_t from = 0; from < all.size(); from += block.probes.size()) {
    block.probes = all.subspan(from, block_end(all, from) - from);
    set_up(engine, sweeper, block);
    for (std::size_t lane = 0; lane < block.probes.size(); ++lane) {
      if (stands_alone(engine, block, lane)) {
        read_alone(engine, block.probes[lane], block.row, take);
      } else {
        others.push_back(block.probes[lane]);
      }
    }
  }
  probes = std::move(others);
}

tl::expected<DictionaryCount, Problem> run(LoomNetwork network, std::span<const DictionaryTest> tests,
                                           std::span<const NetworkChange> changes, const SweepKernel& kernel,
                                           bool ideal, const TakeReadings& take) {
  auto made = engine_of(std::move(network), changes, kernel);
  if (!made) return tl::unexpected(made.error());
  Engine& engine = *made;
  std::vector<Probe> probes;
  for (std::size_t k = 0; k < tests.size(); ++k) {
    probes.push_back(probe_of(engine.network, engine.settled, tests[k], k));
    probes.back().ideal = probes.back().ideal || ideal;
  }
  std::stable_sort(probes.begin(), probes.end(), [](const Probe& x, const Probe& y) {
    const auto key = [](const Probe& p) {
      return std::pair(static_cast<int>(p.test.kind), std::min(p.dipole.plus, p.dipole.minus));
    };
    return key(x) < key(y);
  });
  const std::size_t chunk =
      std::max<std::size_t>(sweep_lanes, most_kept / std::max<std::size_t>(1, engine.in_full.size()));
  Sweeper sweeper(engine.settled, *engine.kernel);
  take_out_alone(engine, sweeper, probes, take);
  const std::span<const Probe> all = probes;
  for (std::size_t k = 0; k < all.size(); k += chunk)
    run_chunk(engine, sweeper, all.subspan(k, std::min(chunk, all.size() - k)), take);
  return engine.count;
}

}  // namespace

std::optional<Problem> check_tests(const LoomNetwork& network, std::span<const DictionaryTest> tests) {
  const auto node = [&](NodeId id) { return id.value < network.circuit.node_count; };
  for (const DictionaryTest& test : tests) {
    const bool good = test.kind == MeterKind::amperes ? test.clamp < network.branches.size()
                                                      : node(test.red) && node(test.black);
    if (!good) return bad_index("test");
  }
  return std::nullopt;
}

tl::expected<DictionaryCount, Problem> fault_dictionary(const LoomNetwork& network,
                                                        std::span<const DictionaryTest> tests,
                                                        std::span<const NetworkChange> changes,
                                                        const TakeReadings& take) {
  return fault_dictionary_by(*sweep_kernels().back(), network, tests, changes, take);
}

tl::expected<DictionaryCount, Problem> fault_dictionary_by(const SweepKernel& kernel,
                                                           const LoomNetwork& network,
                                                           std::span<const DictionaryTest> tests,
                                                           std::span<const NetworkChange> changes,
                                                           const TakeReadings& take) {
  if (auto problem = check_tests(network, tests)) return tl::unexpected(std::move(*problem));
  if (auto problem = check_changes(network, changes)) return tl::unexpected(std::move(*problem));
  return run(bare(network), tests, changes, kernel, false, take);
}

}  // namespace loomgraft
