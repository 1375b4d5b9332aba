#include "design/sizing_run.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loom/plan.h"
#include "base/parallel.h"
#include "standards/device_kinds.h"
#include "standards/pin_states.h"

namespace loomgraft::design {
namespace {

bool has_contacts(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind && kind->build == DeviceBuild::contacts;
}

bool closed_at_rest(const Device& device) {
  if (device.closed_at_rest) return *device.closed_at_rest;
  const DeviceKind* kind = device_kind(device.kind);
  return kind && kind->symbol == "contact_closed";
}

bool is_output(PinClass pin_class) {
  return pin_model(pin_class, PinSide::module, SystemVolts::nominal_12).ratings.kind == PinKind::output;
}

// Works what is needed to close every contact, but for those of `open`, which are worked only where that
// opens them.
void work_contacts(const Graft& graft, const std::set<std::string>& open, Condition& condition) {
  for (const Device& device : graft.devices) {
    if (!has_contacts(device)) continue;
    if (closed_at_rest(device) == open.contains(device.id)) condition.worked.push_back(device.id);
  }
}

void drive_outputs(const Graft& graft, Condition& condition) {
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (is_output(pin.pin_class)) condition.driven.push_back(pin.at);
    }
  }
}

struct NamedState {
  TrialState state;
  Condition condition;
};

std::vector<NamedState> states_of(const Graft& graft, const AlteredLoom& loom) {
  std::set<std::string> altered;
  for (const AlteredCircuit& circuit : loom.circuits)
    altered.insert(circuit.devices.begin(), circuit.devices.end());
  std::vector<NamedState> states(3);
  states[0] = {TrialState::everything_on, {}};
  states[0].condition.name = "everything on";
  work_contacts(graft, {}, states[0].condition);
  drive_outputs(graft, states[0].condition);
  states[1] = {TrialState::switches_open, {}};
  states[1].condition.name = "switches open";
  work_contacts(graft, altered, states[1].condition);
  drive_outputs(graft, states[1].condition);
  states[2] = {TrialState::at_rest, {}};
  states[2].condition.name = "key on, at rest";
  for (const Condition& condition : graft.conditions) states.push_back({TrialState::named, condition});
  return states;
}

std::optional<std::size_t> branch_of(const LoomNetwork& network, const TrialIndex& index,
                                     const std::string& subject, BranchKind kind) {
  const auto found = index.branches.find(subject);
  if (found == index.branches.end()) return std::nullopt;
  const auto of_kind = std::ranges::find_if(
      found->second, [&](std::size_t branch) { return network.branches[branch].kind == kind; });
  if (of_kind == found->second.end()) return std::nullopt;
  return *of_kind;
}

std::shared_ptr<const TrialIndex> index_of(const Trial& trial, const LoomNetwork& network) {
  TrialIndex index;
  index.at_node.resize(network.nodes.size());
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const NetworkBranch& branch = network.branches[i];
    index.branches[branch.subject].push_back(i);
    index.at_node[branch.a.value].push_back(i);
    index.at_node[branch.b.value].push_back(i);
  }
  for (const Wire& wire : trial.planned)
    index.wire_branches.push_back(branch_of(network, index, wire.id, BranchKind::wire));
  return std::make_shared<TrialIndex>(std::move(index));
}

bool are_alike(const LoomNetwork& one, const LoomNetwork& other) {
  const auto alike = [](const NetworkBranch& a, const NetworkBranch& b) {
    return a.subject == b.subject && a.kind == b.kind && a.a.value == b.a.value && a.b.value == b.b.value;
  };
  return one.nodes.size() == other.nodes.size() && std::ranges::equal(one.branches, other.branches, alike);
}

void note_problems(Trial& trial, const Problems& problems) {
  for (const Problem& problem : problems) {
    if (std::find(trial.problems.begin(), trial.problems.end(), problem) == trial.problems.end())
      trial.problems.push_back(problem);
  }
}

// The runs of a condition, weakest corner first. They differ in values alone, so most is known of both at once.
std::array<TrialRun, 2> make_runs(const Trial& trial, const LoomFrame& frame, const NamedState& named) {
  std::array<TrialRun, 2> runs;
  runs[0].corner = Corner::weakest;
  runs[1].corner = Corner::strongest;
  for (TrialRun& run : runs) {
    run.state = named.state;
    run.condition = named.condition;
    run.network = network_of(frame, named.condition, {LoomState::as_planned, run.corner});
  }
  runs[0].solver = runs[1].solver = std::make_shared<Solver>();
  runs[0].index = index_of(trial, runs[0].network);
  const bool alike = are_alike(runs[0].network, runs[1].network);
  runs[1].index = alike ? runs[0].index : index_of(trial, runs[1].network);
  return runs;
}

Problems solve_run(TrialRun& run, const NetworkSolution* near) {
  auto solution = solve(run.network, *run.solver, run.solved ? &run.solution : near);
  run.stale = false;
  run.solved = solution.has_value();
  if (!run.solved) return {solution.error()};
  run.solution = std::move(*solution);
  return run.solution.problems;
}

// The corners of a condition one after the other, the second from the first; the conditions side by side.
void solve_runs(Trial& trial, const std::vector<TrialRun*>& runs) {
  std::vector<std::size_t> first;
  for (std::size_t k = 0; k < runs.size(); ++k) {
    if (k == 0 || runs[k]->solver != runs[k - 1]->solver) first.push_back(k);
  }
  std::vector<Problems> problems(runs.size());
  parallel_for(first.size(), [&](std::size_t condition) {
    const std::size_t end = condition + 1 < first.size() ? first[condition + 1] : runs.size();
    const NetworkSolution* near = nullptr;
    for (std::size_t k = first[condition]; k < end; ++k) {
      problems[k] = solve_run(*runs[k], near);
      near = runs[k]->solved ? &runs[k]->solution : nullptr;
    }
  });
  for (const Problems& found : problems) note_problems(trial, found);
}

}  // namespace

Graft with_sizes(const Graft& graft, const std::map<std::string, WireSize>& sizes) {
  Graft sized = graft;
  for (PlanStep& step : sized.plan) {
    if (step.action != PlanAction::add || !step.added) continue;
    const auto size = sizes.find(step.added->id);
    if (size != sizes.end() && !step.added->area) step.added->area = size->second.area;
  }
  return sized;
}

Trial trial_of(const Graft& graft, const AlteredLoom& loom, const RuleBook& rules) {
  Trial trial;
  trial.graft = &graft;
  trial.loom = &loom;
  trial.rules = &rules;
  PlannedWires planned = as_planned(graft);
  trial.planned = planned.wires;
  note_problems(trial, planned.problems);
  const std::shared_ptr<const LoomFrame> frame = frame_of(graft, std::move(planned));
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::add && step.added && step.added->area)
      trial.sizes[step.added->id] = wire_size_of(*step.added->area);
  }
  const std::vector<NamedState> states = states_of(graft, loom);
  std::vector<std::array<TrialRun, 2>> runs(states.size());
  parallel_for(states.size(), [&](std::size_t k) { runs[k] = make_runs(trial, *frame, states[k]); });
  for (std::array<TrialRun, 2>& of_state : runs) std::ranges::move(of_state, std::back_inserter(trial.runs));
  for (const TrialRun& run : trial.runs) note_problems(trial, run.network.problems);
  return trial;
}

void set_size(Trial& trial, const std::string& wire, const WireSize& size) {
  const auto known = trial.sizes.find(wire);
  if (known == trial.sizes.end()) return;
  const double factor = size.resistance / known->second.resistance;
  known->second = size;
  if (factor == 1.0) return;
  for (TrialRun& run : trial.runs) {
    const auto branch = branch_of(run, wire, BranchKind::wire);
    if (!branch) continue;
    Resistor& resistor = run.network.circuit.resistors[run.network.branches[*branch].index];
    resistor.resistance = resistor.resistance * factor;
    run.stale = true;
  }
}

void solve_all(Trial& trial) {
  std::vector<TrialRun*> runs;
  for (TrialRun& run : trial.runs) {
    if (run.stale) runs.push_back(&run);
  }
  solve_runs(trial, runs);
}

void solve_loaded(Trial& trial) {
  std::vector<TrialRun*> runs;
  for (TrialRun& run : trial.runs) {
    const bool loaded = run.state == TrialState::everything_on || run.state == TrialState::named;
    if (loaded && run.stale) runs.push_back(&run);
  }
  solve_runs(trial, runs);
}

TrialMemory memory_of(const Trial& trial) {
  TrialMemory memory{trial.sizes, {}};
  memory.runs.reserve(trial.runs.size());
  for (const TrialRun& run : trial.runs)
    memory.runs.push_back({run.network.circuit.resistors, run.solution, run.solved, run.stale});
  return memory;
}

void go_back(Trial& trial, TrialMemory&& memory) {
  trial.sizes = std::move(memory.sizes);
  for (std::size_t k = 0; k < trial.runs.size(); ++k) {
    TrialRun& run = trial.runs[k];
    run.network.circuit.resistors = std::move(memory.runs[k].resistors);
    run.solution = std::move(memory.runs[k].solution);
    run.solved = memory.runs[k].solved;
    run.stale = memory.runs[k].stale;
  }
}

const TrialRun& run_of(const Trial& trial, TrialState state, Corner corner) {
  return *std::find_if(trial.runs.begin(), trial.runs.end(),
                       [&](const TrialRun& run) { return run.state == state && run.corner == corner; });
}

std::optional<std::size_t> branch_of(const TrialRun& run, const std::string& subject, BranchKind kind) {
  return branch_of(run.network, *run.index, subject, kind);
}

SystemVolts system_of(const Trial& trial) {
  return system_of(trial.graft->vehicle.supply);
}

const Wire* planned_wire(const Trial& trial, const std::string& id) {
  const auto found =
      std::lower_bound(trial.planned.begin(), trial.planned.end(), id,
                       [](const Wire& wire, const std::string& name) { return wire.id < name; });
  return found == trial.planned.end() || found->id != id ? nullptr : &*found;
}

std::vector<Amperes> greatest_currents(const Trial& trial) {
  std::vector<Amperes> greatest(trial.planned.size());
  for (const TrialRun& run : trial.runs) {
    if (!run.solved) continue;
    for (std::size_t i = 0; i < greatest.size(); ++i) {
      if (!run.index->wire_branches[i]) continue;
      const double current =
          std::abs(branch_current(run.network, run.solution, *run.index->wire_branches[i]).si);
      greatest[i] = std::max(greatest[i], Amperes{current});
    }
  }
  return greatest;
}

Volts volts_at(const TrialRun& run, NodeId node) {
  return run.solution.point.nodes[node.value];
}

}  // namespace loomgraft::design
