// The currents of wires, fuses and pins and the volts of inputs under each fault, in rounds: a fault that
// blows a fuse is computed again with that fuse open.
#include "readings/harm.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "base/parallel.h"
#include "base/stop.h"
#include "network/cavity_pins.h"
#include "network/faults.h"
#include "network/frame.h"
#include "readings/dictionary.h"
#include "readings/working_conditions.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"
#include "standards/wire_burns.h"

namespace loomgraft {
namespace {

// Fuses that one fault can blow one after the other; more would mean that the fuses protect nothing.
constexpr int most_blown = 4;

Condition key_off() {
  Condition condition;
  condition.name = "key off";
  condition.key = KeyPosition::off;
  return condition;
}

enum class WatchedKind { wire, fuse, pin, input };

struct Watch {
  WatchedKind what = WatchedKind::wire;
  DictionaryTest test;
  double limit = 0.0;    // amperes; of an input the volts it withstands
  double healthy = 0.0;  // volts of an input
};

struct Bench {
  LoomNetwork network;
  NetworkSolution healthy;
  std::vector<Watch> watches;
  std::vector<DictionaryTest> tests;  // of the watches
  double shift = 0.0;                 // shift in volts from which an input reads something else
};

void watch(Bench& bench, WatchedKind what, std::size_t branch, double limit) {
  bench.watches.push_back({what, {MeterKind::amperes, earth_node, earth_node, branch}, limit, 0.0});
}

void watch_inputs(const Graft& graft, SystemVolts system, Bench& bench) {
  bench.shift = network_figure("input_shift_v", system).middle();
  for (const auto& [end, node] : bench.network.inner_nodes) {
    const PinAt found = pin_at(graft, end);
    if (!found.pin) continue;
    const PinRatings& ratings = pin_model(found.pin->pin_class, PinSide::module, system).ratings;
    if (ratings.kind != PinKind::input && ratings.kind != PinKind::sensor) continue;
    const double healthy = bench.healthy.point.nodes[node.value].si;
    const double withstood = ratings.highest ? ratings.highest->si : std::numeric_limits<double>::infinity();
    bench.watches.push_back(
        {WatchedKind::input, {MeterKind::volts, node, earth_node, 0}, std::max(withstood, healthy), healthy});
  }
}

// A wire or fuse that is overloaded as planned is no fault.
void watch_currents(const LoomFrame& frame, Bench& bench) {
  const double blows_at = surely_blows_at();
  const double usual_mm2 = network_figure("wire_mm2", frame.system).middle();
  std::map<std::string, const Wire*> wires;
  for (const Wire& wire : frame.allowed) wires[wire.id] = &wire;
  for (std::size_t k = 0; k < bench.network.branches.size(); ++k) {
    const NetworkBranch& branch = bench.network.branches[k];
    const double loaded = std::abs(branch_current(bench.network, bench.healthy, k).si);
    const double rating = branch.rating ? branch.rating->si : 0.0;
    if (const auto wire = wires.find(branch.subject);
        branch.kind == BranchKind::wire && wire != wires.end()) {
      const SquareMetres area = wire->second->area.value_or(square_millimetres(usual_mm2));
      watch(bench, WatchedKind::wire, k, std::max(burning_current(area).si, 2.0 * loaded));
    }
    if (branch.kind == BranchKind::fuse && rating > 0.0 && branch.list == ElementList::resistor)
      watch(bench, WatchedKind::fuse, k, blows_at * std::max(rating, loaded));
    if (branch.kind == BranchKind::contact && rating > loaded) watch(bench, WatchedKind::pin, k, rating);
  }
}

// A fault in the present round.
struct Trial {
  std::size_t fault = 0;
  NetworkChange change;
  Harm harm = Harm::none;
  bool burns = false;
  double most = 1.0;                   // share of its limit of the most overloaded fuse
  std::optional<std::size_t> blown{};  // that fuse
};

void note(const Bench& bench, const Watch& watch, double reading, Trial& trial) {
  const auto raise = [&](Harm harm) { trial.harm = std::max(trial.harm, harm); };
  // No operating point: nothing shows that it is safe.
  if (std::isnan(reading)) return raise(Harm::damage);
  const double share = std::abs(reading) / watch.limit;
  switch (watch.what) {
    case WatchedKind::wire:
      trial.burns = trial.burns || share > 1.0;
      return;
    case WatchedKind::fuse:
      if (share <= trial.most) return;
      trial.most = share;
      trial.blown = watch.test.clamp;
      return;
    case WatchedKind::pin:
      if (share > 1.0) raise(Harm::damage);
      return;
    case WatchedKind::input:
      if (std::abs(reading - watch.healthy) > bench.shift) raise(Harm::false_signal);
      if (reading > watch.limit) raise(Harm::damage);
      return;
  }
}

bool read_round(const Bench& bench, std::vector<Trial>& trials, const StopToken& stop) {
  std::vector<NetworkChange> changes;
  changes.reserve(trials.size());
  for (const Trial& trial : trials) changes.push_back(trial.change);
  const auto take = [&](std::size_t test, double, std::span<const double> readings) {
    for (std::size_t k = 0; k < trials.size(); ++k) note(bench, bench.watches[test], readings[k], trials[k]);
  };
  return fault_dictionary(bench.network, bench.tests, changes, take, stop).has_value();
}

// Grades the faults that blow no further fuse; returns the others with the blown fuse open.
std::vector<Trial> grade(std::vector<Trial>& trials, bool last, std::vector<Fault>& faults) {
  std::vector<Trial> next;
  for (Trial& trial : trials) {
    Harm& worst = faults[trial.fault].harm;
    // Inputs read wrongly for a moment only, and a wire outlasts the fuse that blows; outputs fail before it
    // blows.
    if (trial.blown && !last) {
      if (trial.harm == Harm::damage) worst = std::max(worst, trial.harm);
      trial.change.branches.push_back({*trial.blown, Ohms{std::numeric_limits<double>::infinity()}});
      next.emplace_back();
      next.back().fault = trial.fault;
      next.back().change = std::move(trial.change);
      continue;
    }
    worst = std::max(worst, trial.burns ? Harm::fire : trial.harm);
  }
  return next;
}

void judge_on(const Bench& bench, std::vector<Trial> trials, std::vector<Fault>& faults,
              const StopToken& stop) {
  for (int blown = 0; blown <= most_blown && !trials.empty(); ++blown) {
    if (stop.stop_requested() || !read_round(bench, trials, stop)) return;
    trials = grade(trials, blown == most_blown, faults);
  }
}

std::optional<Bench> set_up(const LoomFrame& frame, const Condition& condition) {
  Bench bench;
  NetworkOptions options;
  options.corner = Corner::strongest;
  options.crimps = true;
  bench.network = network_of(frame, condition, options);
  auto healthy = solve(bench.network);
  if (!healthy) return std::nullopt;
  bench.healthy = std::move(*healthy);
  watch_currents(frame, bench);
  watch_inputs(frame.graft, frame.system, bench);
  for (const Watch& one : bench.watches) bench.tests.push_back(one.test);
  return bench;
}

// A joint starves its circuit most with the most ohms; a leak does most harm with the fewest.
std::vector<Fault> at_their_worst(std::vector<Fault> faults) {
  for (Fault& fault : faults) {
    if (fault.kind == FaultKind::bad_joint && fault.up_to.si > 0.0) fault.ohms = fault.up_to;
  }
  return faults;
}

}  // namespace

void judge_harm(const LoomFrame& frame, std::vector<Fault>& faults, const StopToken& stop) {
  const std::array conditions{everything_on(frame.graft), key_off()};
  const std::vector<Fault> worst = at_their_worst(faults);
  std::array<std::vector<Fault>, conditions.size()> judged{faults, faults};
  parallel_for(conditions.size(), [&](std::size_t number) {
    if (stop.stop_requested()) return;
    const auto bench = set_up(frame, conditions[number]);
    if (!bench) return;
    std::vector<NetworkChange> changes = changes_of(worst, bench->network);
    std::vector<Trial> trials;
    for (std::size_t k = 0; k < faults.size(); ++k) {
      // With the key off only bridges bring power to a dead circuit.
      const bool matters = conditions[number].key != KeyPosition::off || !changes[k].bridges.empty();
      if (matters && !changes[k].empty()) trials.push_back({k, std::move(changes[k]), {}, {}, 1.0, {}});
    }
    judge_on(*bench, std::move(trials), judged[number], stop);
  });
  for (const std::vector<Fault>& found : judged) {
    for (std::size_t k = 0; k < faults.size(); ++k) faults[k].harm = std::max(faults[k].harm, found[k].harm);
  }
}

}  // namespace loomgraft
