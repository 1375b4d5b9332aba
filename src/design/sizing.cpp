#include "design/sizing.h"

#include <algorithm>

#include "design/checks_internal.h"
#include "design/feed_path.h"

namespace loomgraft::design {
namespace {

struct Binding {
  std::optional<CheckKind> kind;
  std::string text;
};
using Failing = std::map<std::string, Binding>;  // by wire

struct Sizing {
  Trial& trial;
  const std::vector<WireSize>& stock;
  std::map<std::string, std::size_t> place;  // in the stock, by wire
  std::map<std::string, Binding> limited_by;
  std::set<std::string> beyond_size;  // check and subject
};

std::string key_of(const Check& check) {
  return std::string(name_of(check.kind)) + " " + check.subject;
}

bool can_grow(const Sizing& sizing, const std::string& wire) {
  const auto place = sizing.place.find(wire);
  return place != sizing.place.end() && place->second + 1 < sizing.stock.size();
}

std::set<std::string> wires_of(const Sizing& sizing) {
  std::set<std::string> wires;
  for (const auto& [wire, place] : sizing.place) wires.insert(wire);
  return wires;
}

void note_wire(const Sizing& sizing, const std::optional<Check>& check, Failing& failing) {
  if (!check || check->passes || sizing.beyond_size.contains(key_of(*check))) return;
  if (can_grow(sizing, check->subject))
    failing.emplace(check->subject, Binding{check->kind, words_of(check->kind)});
}

// The added wire that loses most on the way to and from a consumer.
std::optional<std::string> weakest_wire(const Sizing& sizing, const TrialRun& run, const ConsumerEnds& ends) {
  std::optional<std::string> weakest;
  Volts most;
  for (const auto& [node, walk] :
       {std::pair{ends.plus, Walk::upstream}, std::pair{ends.minus, Walk::downstream}}) {
    for (const PathStep& step : feed_path(run, node, walk)) {
      const NetworkBranch& branch = run.network.branches[step.branch];
      if (branch.kind != BranchKind::wire || step.drop <= most || !can_grow(sizing, branch.subject)) continue;
      most = step.drop;
      weakest = branch.subject;
    }
  }
  return weakest;
}

void note_consumer(const Sizing& sizing, const Device& device, const std::optional<Check>& check,
                   Failing& failing) {
  if (!check || check->passes || sizing.beyond_size.contains(key_of(*check))) return;
  const TrialRun& run = run_of(sizing.trial, TrialState::everything_on, Corner::weakest);
  const auto ends = consumer_ends(run, device);
  const auto wire = ends ? weakest_wire(sizing, run, *ends) : std::nullopt;
  if (!wire) return;
  const std::string& name = device.name.empty() ? device.id : device.name;
  failing.emplace(*wire, Binding{check->kind, words_of(check->kind) + (" of " + name)});
}

void note_consumers(const Sizing& sizing, Failing& failing) {
  for (const AlteredCircuit& circuit : sizing.trial.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*sizing.trial.graft, id);
      if (!device) continue;
      note_consumer(sizing, *device, path_drop_check(sizing.trial, *device), failing);
      note_consumer(sizing, *device, pull_in_check(sizing.trial, *device), failing);
      for (const Check& check : motor_checks(sizing.trial, *device)) note_wire(sizing, check, failing);
    }
  }
}

void note_size_checks(const Sizing& sizing, const std::string& wire, const LoomHeat& heat, Failing& failing) {
  note_wire(sizing, wire_drop_check(sizing.trial, wire), failing);
  note_wire(sizing, heat_check(sizing.trial, wire, heat), failing);
}

void note_guards(const Sizing& sizing, const std::set<std::string>& wires, const LoomHeat& heat,
                 Failing& failing) {
  for (const auto& [wire, guard] : guards_of(sizing.trial, wires, heat)) {
    for (const Check& check : guard.checks) note_wire(sizing, check, failing);
  }
}

Failing find_failing(const Sizing& sizing, const LoomHeat& heat) {
  Failing failing;
  for (const auto& [wire, place] : sizing.place) note_size_checks(sizing, wire, heat, failing);
  note_consumers(sizing, failing);
  // Costly, and seldom what binds: only where all else holds.
  if (failing.empty()) note_guards(sizing, wires_of(sizing), heat, failing);
  return failing;
}

// First of the wire's own checks, which are quick.
Failing find_failing_by(const Sizing& sizing, const std::string& wire) {
  Failing failing;
  const LoomHeat heat = loom_heat(sizing.trial);
  note_size_checks(sizing, wire, heat, failing);
  if (failing.empty()) note_guards(sizing, {wire}, heat, failing);
  return failing.empty() ? find_failing(sizing, heat) : failing;
}

void take(Sizing& sizing, const std::string& wire, std::size_t place) {
  sizing.place[wire] = place;
  set_size(sizing.trial, wire, sizing.stock[place]);
}

// What fails with the largest size everywhere.
void find_beyond_size(Sizing& sizing) {
  for (auto& [wire, place] : sizing.place) set_size(sizing.trial, wire, sizing.stock.back());
  solve_loaded(sizing.trial);
  const LoomHeat heat = loom_heat(sizing.trial);
  const auto note = [&](const std::optional<Check>& check) {
    if (check && !check->passes) sizing.beyond_size.insert(key_of(*check));
  };
  for (const auto& [wire, place] : sizing.place) {
    note(wire_drop_check(sizing.trial, wire));
    note(heat_check(sizing.trial, wire, heat));
  }
  for (const auto& [wire, guard] : guards_of(sizing.trial, wires_of(sizing), heat)) {
    for (const Check& check : guard.checks) note(check);
  }
  for (const AlteredCircuit& circuit : sizing.trial.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*sizing.trial.graft, id);
      if (!device) continue;
      note(path_drop_check(sizing.trial, *device));
      note(pull_in_check(sizing.trial, *device));
      for (const Check& check : motor_checks(sizing.trial, *device)) note(check);
    }
  }
}

std::size_t smallest_place(const Sizing& sizing, const std::string& wire) {
  for (std::size_t place = 0; place + 1 < sizing.stock.size(); ++place) {
    set_size(sizing.trial, wire, sizing.stock[place]);
    const auto least = smallest_size_check(sizing.trial, wire);
    const auto fit = terminal_check(sizing.trial, wire);
    const bool too_small_for_terminal = fit && !fit->passes && !fit->at_most;
    if ((!least || least->passes) && !too_small_for_terminal) return place;
  }
  return sizing.stock.size() - 1;
}

// Takes back what a wire grew by before others grew: in the end no single one could be smaller.
void trim(Sizing& sizing, const std::map<std::string, std::size_t>& smallest) {
  for (const auto& [wire, least] : smallest) {
    while (sizing.place[wire] > least) {
      const std::size_t place = sizing.place[wire];
      TrialMemory before = memory_of(sizing.trial);
      take(sizing, wire, place - 1);
      solve_loaded(sizing.trial);
      const Failing failing = find_failing_by(sizing, wire);
      if (failing.empty()) continue;
      sizing.limited_by[wire] = failing.begin()->second;
      sizing.place[wire] = place;
      go_back(sizing.trial, std::move(before));
      break;
    }
  }
}

}  // namespace

std::vector<WireSize> stock_sizes(const RuleBook& rules) {
  std::vector<WireSize> sizes;
  for (const SquareMetres area : rules.set->stock) sizes.push_back(wire_size_of(area));
  return sizes;
}

std::map<std::string, ChosenSize> choose_sizes(Trial& trial, const std::vector<WireSize>& stock,
                                               const std::set<std::string>& settled,
                                               const std::stop_token& stop) {
  Sizing sizing{trial, stock, {}, {}, {}};
  for (const std::string& wire : trial.loom->added) {
    if (trial.sizes.contains(wire) && !settled.contains(wire)) sizing.place[wire] = 0;
  }
  std::map<std::string, std::size_t> smallest;
  for (auto& [wire, place] : sizing.place) {
    smallest[wire] = smallest_place(sizing, wire);
    take(sizing, wire, smallest[wire]);
    sizing.limited_by[wire] = place == 0
                                ? Binding{std::nullopt, "smallest in stock"}
                                : Binding{CheckKind::smallest_size, words_of(CheckKind::smallest_size)};
  }
  solve_loaded(trial);
  Failing failing = find_failing(sizing, loom_heat(trial));
  if (!failing.empty()) {
    TrialMemory before = memory_of(trial);
    find_beyond_size(sizing);
    go_back(trial, std::move(before));
    failing = find_failing(sizing, loom_heat(trial));
  }
  while (!failing.empty() && !stop.stop_requested()) {
    for (const auto& [wire, reason] : failing) {
      take(sizing, wire, sizing.place[wire] + 1);
      sizing.limited_by[wire] = reason;
    }
    solve_loaded(trial);
    failing = find_failing(sizing, loom_heat(trial));
  }
  if (!stop.stop_requested()) trim(sizing, smallest);
  std::map<std::string, ChosenSize> chosen;
  for (const auto& [wire, place] : sizing.place) {
    const Binding& binding = sizing.limited_by[wire];
    chosen[wire] = {stock[place], binding.kind, binding.text};
  }
  return chosen;
}

}  // namespace loomgraft::design
