// Two sets of checks are kept apart because of their cost: those of each wire and consumer are evaluated after every
// solve, those against fuses only when all others pass. What no size can make pass is found first, with the largest
// size everywhere, and ignored from then on.
#include "design/sizing.h"

#include <algorithm>

#include "base/stop.h"
#include "design/checks_internal.h"
#include "design/feed_path.h"

namespace loomgraft::design {
namespace {

// Why a wire needs its size.
struct Reason {
  std::optional<CheckKind> kind;
  std::string text;
};
using Failing = std::map<std::string, Reason>;  // by wire

struct Sizing {
  SizingRun& run;
  const std::vector<WireSize>& stock;
  std::map<std::string, std::size_t> position;  // in the stock, by wire
  std::map<std::string, Reason> limited_by;
  std::set<std::pair<CheckKind, DesignSubject>> beyond_size;  // checks that no size makes pass
};

bool counts(const Sizing& sizing, const std::optional<Check>& check) {
  return check && !check->passes && check->judged &&
         !sizing.beyond_size.contains({check->kind, check->subject});
}

bool can_grow(const Sizing& sizing, const std::string& wire) {
  const auto position = sizing.position.find(wire);
  return position != sizing.position.end() && position->second + 1 < sizing.stock.size();
}

std::set<std::string> wires_of(const Sizing& sizing) {
  std::set<std::string> wires;
  for (const auto& [wire, position] : sizing.position) wires.insert(wire);
  return wires;
}

void note_wire(const Sizing& sizing, const std::optional<Check>& check, Failing& failing) {
  if (!counts(sizing, check) || check->subject.kind != DesignSubject::Kind::wire) return;
  const std::string& wire = check->subject.at.at;
  if (can_grow(sizing, wire)) failing.emplace(wire, Reason{check->kind, text_of(check->kind)});
}

// The added wire with the largest drop on the path to and from a consumer.
std::optional<std::string> weakest_wire(const Sizing& sizing, const LoadCase& load_case,
                                        const ConsumerEnds& ends) {
  std::optional<std::string> weakest;
  Volts most;
  for (const auto& [node, walk] :
       {std::pair{ends.plus, Walk::upstream}, std::pair{ends.minus, Walk::downstream}}) {
    for (const PathStep& step : feed_path(load_case, node, walk)) {
      const NetworkBranch& branch = load_case.network.branches[step.branch];
      if (branch.kind != BranchKind::wire || step.drop <= most || !can_grow(sizing, branch.subject)) continue;
      most = step.drop;
      weakest = branch.subject;
    }
  }
  return weakest;
}

void note_consumer(const Sizing& sizing, const Device& device, const std::optional<Check>& check,
                   Failing& failing) {
  if (!counts(sizing, check)) return;
  const LoadCase& load_case = load_case_of(sizing.run, LoadCaseKind::everything_on, Corner::weakest);
  const auto ends = consumer_ends(load_case, device);
  const auto wire = ends ? weakest_wire(sizing, load_case, *ends) : std::nullopt;
  if (!wire) return;
  failing.emplace(*wire, Reason{check->kind, text_of(check->kind) + " of " + device_name(device)});
}

void note_consumers(const Sizing& sizing, Failing& failing) {
  for (const AlteredCircuit& circuit : sizing.run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*sizing.run.graft, id);
      if (!device) continue;
      note_consumer(sizing, *device, path_drop_check(sizing.run, *device), failing);
      note_consumer(sizing, *device, pull_in_check(sizing.run, *device), failing);
      for (const Check& check : motor_checks(sizing.run, *device)) note_wire(sizing, check, failing);
    }
  }
}

void note_size_checks(const Sizing& sizing, const std::string& wire, const LoomHeat& heat, Failing& failing) {
  note_wire(sizing, wire_drop_check(sizing.run, wire), failing);
  note_wire(sizing, heat_check(sizing.run, wire, heat), failing);
}

void note_fuse_protections(const Sizing& sizing, const std::set<std::string>& wires, const LoomHeat& heat,
                           Failing& failing) {
  for (const auto& [wire, fused] : fuse_protections(sizing.run, wires, heat).of_wire) {
    for (const Check& check : fused.checks) note_wire(sizing, check, failing);
  }
}

Failing failing_checks(const Sizing& sizing, const LoomHeat& heat) {
  Failing failing;
  for (const auto& [wire, position] : sizing.position) note_size_checks(sizing, wire, heat, failing);
  note_consumers(sizing, failing);
  // Expensive, and seldom decisive: only if everything else passes.
  if (failing.empty()) note_fuse_protections(sizing, wires_of(sizing), heat, failing);
  return failing;
}

// The wire's own checks first, which are quick.
Failing failing_checks_of(const Sizing& sizing, const std::string& wire) {
  Failing failing;
  const LoomHeat heat = loom_heat(sizing.run);
  note_size_checks(sizing, wire, heat, failing);
  if (failing.empty()) note_fuse_protections(sizing, {wire}, heat, failing);
  return failing.empty() ? failing_checks(sizing, heat) : failing;
}

void set_position(Sizing& sizing, const std::string& wire, std::size_t position) {
  sizing.position[wire] = position;
  set_size(sizing.run, wire, sizing.stock[position]);
}

// What fails with the largest size everywhere.
void note_beyond_size(Sizing& sizing) {
  for (auto& [wire, position] : sizing.position) set_size(sizing.run, wire, sizing.stock.back());
  solve_loaded(sizing.run);
  const LoomHeat heat = loom_heat(sizing.run);
  const auto note = [&](const std::optional<Check>& check) {
    if (check && !check->passes && check->judged) sizing.beyond_size.insert({check->kind, check->subject});
  };
  for (const auto& [wire, position] : sizing.position) {
    note(wire_drop_check(sizing.run, wire));
    note(heat_check(sizing.run, wire, heat));
  }
  for (const auto& [wire, fused] : fuse_protections(sizing.run, wires_of(sizing), heat).of_wire) {
    for (const Check& check : fused.checks) note(check);
  }
  for (const AlteredCircuit& circuit : sizing.run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*sizing.run.graft, id);
      if (!device) continue;
      note(path_drop_check(sizing.run, *device));
      note(pull_in_check(sizing.run, *device));
      for (const Check& check : motor_checks(sizing.run, *device)) note(check);
    }
  }
}

// A wire that is too hot even at the largest size is worse off at any smaller one.
void take_largest_where_too_hot(Sizing& sizing, std::map<std::string, std::size_t>& smallest) {
  for (auto& [wire, first] : smallest) {
    if (!sizing.beyond_size.contains({CheckKind::heat, wire_subject(wire)})) continue;
    first = sizing.stock.size() - 1;
    set_position(sizing, wire, first);
    sizing.limited_by[wire] = {CheckKind::heat, text_of(CheckKind::heat)};
  }
}

std::size_t smallest_position(const Sizing& sizing, const std::string& wire) {
  for (std::size_t position = 0; position + 1 < sizing.stock.size(); ++position) {
    set_size(sizing.run, wire, sizing.stock[position]);
    const auto allowed = smallest_size_check(sizing.run, wire);
    const auto fit = terminal_check(sizing.run, wire);
    const bool too_small_for_terminal = fit && !fit->passes && !fit->at_most;
    if ((!allowed || allowed->passes) && !too_small_for_terminal) return position;
  }
  return sizing.stock.size() - 1;
}

// A wire may have grown before others did: in the end no single one could be a size smaller.
void trim(Sizing& sizing, const std::map<std::string, std::size_t>& smallest) {
  for (const auto& [wire, first] : smallest) {
    while (sizing.position[wire] > first) {
      const std::size_t position = sizing.position[wire];
      SizingSnapshot before = snapshot_of(sizing.run);
      set_position(sizing, wire, position - 1);
      solve_loaded(sizing.run);
      const Failing failing = failing_checks_of(sizing, wire);
      if (failing.empty()) continue;
      sizing.limited_by[wire] = failing.begin()->second;
      sizing.position[wire] = position;
      restore(sizing.run, std::move(before));
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

std::map<std::string, ChosenSize> choose_sizes(SizingRun& run, const std::vector<WireSize>& stock,
                                               const std::set<std::string>& fixed, const StopToken& stop) {
  Sizing sizing{run, stock, {}, {}, {}};
  for (const std::string& wire : run.loom->added) {
    if (run.sizes.contains(wire) && !fixed.contains(wire)) sizing.position[wire] = 0;
  }
  std::map<std::string, std::size_t> smallest;
  for (auto& [wire, position] : sizing.position) {
    smallest[wire] = smallest_position(sizing, wire);
    set_position(sizing, wire, smallest[wire]);
    sizing.limited_by[wire] = position == 0
                                  ? Reason{std::nullopt, "smallest in stock"}
                                  : Reason{CheckKind::smallest_size, text_of(CheckKind::smallest_size)};
  }
  solve_loaded(run);
  Failing failing = failing_checks(sizing, loom_heat(run));
  if (!failing.empty()) {
    SizingSnapshot before = snapshot_of(run);
    note_beyond_size(sizing);
    restore(run, std::move(before));
    take_largest_where_too_hot(sizing, smallest);
    solve_loaded(run);
    failing = failing_checks(sizing, loom_heat(run));
  }
  while (!failing.empty() && !stop.stop_requested()) {
    for (const auto& [wire, reason] : failing) {
      set_position(sizing, wire, sizing.position[wire] + 1);
      sizing.limited_by[wire] = reason;
    }
    solve_loaded(run);
    failing = failing_checks(sizing, loom_heat(run));
  }
  if (!stop.stop_requested()) trim(sizing, smallest);
  std::map<std::string, ChosenSize> chosen;
  for (const auto& [wire, position] : sizing.position) {
    const Reason& reason = sizing.limited_by[wire];
    chosen[wire] = {stock[position], reason.kind, reason.text};
  }
  return chosen;
}

}  // namespace loomgraft::design
