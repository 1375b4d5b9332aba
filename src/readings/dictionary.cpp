// Blocks of eight tests over all changes at once. What the update cannot answer is computed again, as little
// as possible: a change in all tests, a test under all changes, or a single pair.
#include "readings/dictionary.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "base/stop.h"
#include "readings/engine_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft {

using namespace readings;
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
// Readings of changes with a full solve that are kept at a time.
constexpr std::size_t most_kept = std::size_t{1} << 24;
// Changes whose bridges are preallocated at a time: more make paths longer, fewer build the network more
// often.
constexpr std::size_t changes_a_group = 24;

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

// The meter itself carries a watched pair past a limit: the test needs a network with the meter in it.
bool needs_own_network(const Engine& engine, const Block& block, std::size_t lane) {
  const Probe& probe = block.probes[lane];
  if (probe.ideal) return false;
  if (probe.test.kind == MeterKind::ohms && !engine.linearised.dead) return true;
  const double reading = healthy_reading(engine, block, lane);
  const double taken = std::abs(engine.meter.current(probe.test.kind, reading)) * block.tests.couple.at[lane];
  return !(taken <= 1.0) || !engine.linearised.rests || !std::isfinite(reading);
}

// The current of a clamped branch that is itself changed.
void correct_own_clamp(const Engine& engine, const Probe& probe, std::span<double> row) {
  const std::size_t at = linearised_index(*engine.network, probe.test.clamp);
  for (std::size_t k = 0; k < engine.lowered.size(); ++k) {
    const LoweredChange& change = engine.lowered[k];
    if (change.needs_full_solve || change.is_bridge || change.branch != at) continue;
    const double d = change.after - change.before;
    if (d != 0.0) row[k] = change.after * (change.sweep.flow / d);
  }
}

using Kept = std::vector<std::vector<double>>;  // by change with a full solve, by test of the chunk

void hand_out(Engine& engine, Block& block, std::size_t lane, const Kept& kept, std::size_t at,
              const TakeReadings& take) {
  const Probe& probe = block.probes[lane];
  double healthy = healthy_reading(engine, block, lane);
  const std::span<double> row(block.row(lane), engine.changes.size());
  if (probe.test.kind == MeterKind::amperes) {
    healthy = volts_to_amperes(engine, probe, healthy);
    for (double& reading : row) reading = volts_to_amperes(engine, probe, reading);
    correct_own_clamp(engine, probe, row);
  }
  for (std::size_t k = 0; k < engine.full_solves.size(); ++k) row[engine.full_solves[k]] = kept[k][at];
  engine.count.by_update += row.size() - engine.full_solves.size();
  take(probe.at, healthy, row);
}

tl::expected<DictionaryCount, Problem> run(const LoomNetwork& network, std::span<const DictionaryTest> tests,
                                           std::span<const NetworkChange> changes, const SweepKernel& kernel,
                                           bool ideal, const TakeReadings& take, const StopToken& stop);

// The changes that the sweep answers, for the tests that need their meter in the network.
struct SweptChanges {
  std::vector<NetworkChange> changes;
  std::vector<std::size_t> at;  // index among all
};

SweptChanges swept_changes(const Engine& engine) {
  SweptChanges swept;
  for (std::size_t k = 0; k < engine.lowered.size(); ++k) {
    if (engine.lowered[k].needs_full_solve) continue;
    swept.changes.push_back(engine.changes[k]);
    swept.at.push_back(k);
  }
  return swept;
}

// The healthy network with the meter in place, and the swept changes in that. `row` has the others already.
void read_in_own_network(Engine& engine, const Probe& probe, const SweptChanges& swept, std::span<double> row,
                         const TakeReadings& take) {
  const MeterKind kind = probe.test.kind;
  const auto shown = [&](double volts) {
    return kind == MeterKind::ohms ? engine.meter.shown_ohms(volts) : volts;
  };
  if (probe.test.red == probe.test.black) {
    std::ranges::fill(row, 0.0);
    return take(probe.at, 0.0, row);
  }
  LoomNetwork network = bare_network(engine);
  add_meter(network, probe.test.red, probe.test.black, kind);
  const auto told = run(
      network, {&probe.test, 1}, swept.changes, *engine.kernel, true,
      [&](std::size_t, double healthy, std::span<const double> readings) {
        for (std::size_t c = 0; c < readings.size(); ++c) row[swept.at[c]] = shown(readings[c]);
        take(probe.at, shown(healthy), row);
      },
      engine.stop);
  if (told) {
    engine.count.by_full_solve += told->by_full_solve;
    engine.count.by_update += told->by_update;
    return;
  }
  std::ranges::fill(row, none);
  take(probe.at, none, row);
}

std::size_t block_end(std::span<const Probe> probes, std::size_t from) {
  std::size_t to = from + 1;
  while (to < probes.size() && to < from + sweep_lanes && probes[to].test.kind == probes[from].test.kind)
    ++to;
  return to;
}

// Every change that the sweep cannot answer, under all tests of a chunk.
Kept read_full_solves(Engine& engine, std::span<const Probe> probes) {
  Kept kept(engine.full_solves.size(), std::vector<double>(probes.size()));
  const std::span<const std::size_t> all = engine.full_solves;
  for (std::size_t from = 0; from < all.size(); from += changes_a_group) {
    if (engine.stop.stop_requested()) break;
    const auto group = all.subspan(from, std::min(changes_a_group, all.size() - from));
    read_group(engine, group, probes, std::span(kept).subspan(from, group.size()));
  }
  return kept;
}

void run_chunk(Engine& engine, Sweeper& sweeper, Block& block, std::span<const Probe> probes,
               const TakeReadings& take) {
  const Kept kept = read_full_solves(engine, probes);
  for (std::size_t from = 0; from < probes.size(); from += block.probes.size()) {
    if (engine.stop.stop_requested()) return;
    block.probes = probes.subspan(from, block_end(probes, from) - from);
    read_block(engine, sweeper, block);
    for (std::size_t lane = 0; lane < block.probes.size(); ++lane)
      hand_out(engine, block, lane, kept, from + lane, take);
  }
}

// Tests that need their meter in the network: the swept changes are swept again in that. For the others the network is
// solved once for all tests, and elements that a meter moves are put on their pieces from there.
void run_chunk_in_own_networks(Engine& engine, const SweptChanges& swept, std::span<const Probe> probes,
                               const TakeReadings& take) {
  const Kept kept = read_full_solves(engine, probes);
  std::vector<double> row(engine.changes.size());
  for (std::size_t at = 0; at < probes.size(); ++at) {
    if (engine.stop.stop_requested()) return;
    for (std::size_t k = 0; k < engine.full_solves.size(); ++k) row[engine.full_solves[k]] = kept[k][at];
    read_in_own_network(engine, probes[at], swept, row, take);
  }
}

// Removes the tests that need their meter in the network from the list, and returns them.
std::vector<Probe> take_out_own_networks(Engine& engine, Sweeper& sweeper, Block& block,
                                         std::vector<Probe>& probes) {
  std::vector<Probe> own;
  if (engine.linearised.watched.empty() && engine.linearised.dead && engine.linearised.rests) return own;
  std::vector<Probe> others;
  others.reserve(probes.size());
  const std::span<const Probe> all = probes;
  for (std::size_t from = 0; from < all.size(); from += block.probes.size()) {
    if (engine.stop.stop_requested()) break;
    block.probes = all.subspan(from, block_end(all, from) - from);
    set_up(engine, sweeper, block);
    for (std::size_t lane = 0; lane < block.probes.size(); ++lane) {
      std::vector<Probe>& list = needs_own_network(engine, block, lane) ? own : others;
      list.push_back(block.probes[lane]);
    }
  }
  probes = std::move(others);
  return own;
}

void find_healthy_ohms(const Engine& engine, std::vector<Probe>& probes) {
  ChangedFronts work(*engine.linearised.tree, engine.linearised.fronts);
  Carried carried;
  for (Probe& probe : probes) {
    work.carry(probe.dipole, carried);
    probe.healthy_ohms = work.resistance(carried);
    for (const Position end : {probe.dipole.plus, probe.dipole.minus}) {
      work.carry({end, engine.linearised.tree->count}, carried);
      probe.reference_ohms += work.resistance(carried);
    }
  }
}

tl::expected<DictionaryCount, Problem> run(const LoomNetwork& network, std::span<const DictionaryTest> tests,
                                           std::span<const NetworkChange> changes, const SweepKernel& kernel,
                                           bool ideal, const TakeReadings& take, const StopToken& stop) {
  auto made = engine_of(network, changes, kernel);
  if (!made) return tl::unexpected(made.error());
  Engine& engine = *made;
  engine.stop = stop;
  std::vector<Probe> probes;
  for (std::size_t k = 0; k < tests.size(); ++k) {
    probes.push_back(probe_of(*engine.network, engine.linearised, tests[k], k));
    probes.back().ideal = probes.back().ideal || ideal;
  }
  if (!engine.full_solves.empty()) find_healthy_ohms(engine, probes);
  std::stable_sort(probes.begin(), probes.end(), [](const Probe& x, const Probe& y) {
    const auto key = [](const Probe& p) {
      return std::pair(static_cast<int>(p.test.kind), std::min(p.dipole.plus, p.dipole.minus));
    };
    return key(x) < key(y);
  });
  const std::size_t chunk =
      std::max<std::size_t>(sweep_lanes, most_kept / std::max<std::size_t>(1, engine.full_solves.size()));
  Sweeper sweeper(engine.linearised, *engine.kernel, dipoles_of(engine));
  Block block = block_of(engine, sweeper);
  const std::vector<Probe> own = take_out_own_networks(engine, sweeper, block, probes);
  const auto in_chunks = [&](std::span<const Probe> all, const auto& run_one) {
    for (std::size_t k = 0; k < all.size() && !stop.stop_requested(); k += chunk)
      run_one(all.subspan(k, std::min(chunk, all.size() - k)));
  };
  const SweptChanges swept = own.empty() ? SweptChanges{} : swept_changes(engine);
  in_chunks(own, [&](auto some) { run_chunk_in_own_networks(engine, swept, some, take); });
  in_chunks(probes, [&](auto some) { run_chunk(engine, sweeper, block, some, take); });
  if (stop.stop_requested()) return tl::unexpected(was_stopped());
  return engine.count;
}

}  // namespace

std::optional<Problem> readings::check_tests(const LoomNetwork& network,
                                             std::span<const DictionaryTest> tests) {
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
                                                        const TakeReadings& take, const StopToken& stop) {
  return fault_dictionary_by(*sweep_kernels().back(), network, tests, changes, take, stop);
}

tl::expected<DictionaryCount, Problem> readings::fault_dictionary_by(
    const SweepKernel& kernel, const LoomNetwork& network, std::span<const DictionaryTest> tests,
    std::span<const NetworkChange> changes, const TakeReadings& take, const StopToken& stop) {
  if (auto problem = check_tests(network, tests)) return tl::unexpected(std::move(*problem));
  if (auto problem = check_changes(network, changes)) return tl::unexpected(std::move(*problem));
  return run(network, tests, changes, kernel, false, take, stop);
}

}  // namespace loomgraft
