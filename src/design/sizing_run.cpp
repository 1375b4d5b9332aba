// Both corners of a condition have networks of one shape, so they share the solver's analysis of the matrix, and the
// second is solved from the solution of the first. A change of size touches values only.
#include "design/sizing_run.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "design/checks_internal.h"
#include "design/sources.h"
#include "loom/plan.h"
#include "network/device_figures.h"
#include "network/frame.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
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

// Operates what is needed to close every contact, except those of `open`, which are operated only where that
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

struct NamedCase {
  LoadCaseKind kind = LoadCaseKind::everything_on;
  Condition condition;
  std::vector<Corner> corners{Corner::weakest, Corner::strongest};
  const Device* flat = nullptr;  // the battery that is charged
};

NamedCase running_case(const Graft& graft, const NamedCase& everything_on) {
  NamedCase running{LoadCaseKind::running, everything_on.condition, {Corner::weakest}};
  running.condition.name = "everything on, engine running";
  running.condition.supply = Volts{network_figure("running_v", system_of(graft.vehicle.supply)).high()};
  return running;
}

NamedCase cranking_case(const NamedCase& everything_on) {
  NamedCase cranking{LoadCaseKind::cranking, everything_on.condition, {Corner::weakest}};
  cranking.condition.name = "everything on, starter turning";
  cranking.condition.key = KeyPosition::crank;
  return cranking;
}

// Every other source at full current into a flat battery, with nothing on; every further battery flat, with everything on.
void add_charging_cases(const LoomFrame& frame, std::vector<NamedCase>& cases) {
  const bool charged = std::ranges::any_of(
      frame.graft.devices, [&](const Device& device) { return is_limited_source(frame, device); });
  if (charged) {
    NamedCase charging{LoadCaseKind::charging, {}, {Corner::weakest}};
    charging.condition.name = "charging a flat battery";
    charging.condition.supply = Volts{network_figure("resting_v", frame.system).low()};
    cases.push_back(std::move(charging));
  }
  for (const Device* battery : further_batteries(frame)) {
    NamedCase flat{LoadCaseKind::flat_battery, cases[0].condition, {Corner::strongest}, battery};
    flat.condition.name = "everything on, charging flat battery " + device_name(*battery);
    cases.push_back(std::move(flat));
  }
}

std::vector<NamedCase> load_case_conditions(const LoomFrame& frame, const AlteredLoom& loom) {
  const Graft& graft = frame.graft;
  std::set<std::string> altered;
  for (const AlteredCircuit& circuit : loom.circuits)
    altered.insert(circuit.devices.begin(), circuit.devices.end());
  std::vector<NamedCase> cases(3);
  cases[0] = {LoadCaseKind::everything_on, {}};
  cases[0].condition.name = "everything on";
  work_contacts(graft, {}, cases[0].condition);
  drive_outputs(graft, cases[0].condition);
  cases[1] = {LoadCaseKind::switches_open, {}};
  cases[1].condition.name = "switches open";
  work_contacts(graft, altered, cases[1].condition);
  drive_outputs(graft, cases[1].condition);
  cases[2] = {LoadCaseKind::at_rest, {}};
  cases[2].condition.name = "key on, at rest";
  cases.push_back(running_case(graft, cases[0]));
  cases.push_back(cranking_case(cases[0]));
  add_charging_cases(frame, cases);
  for (const Condition& condition : graft.conditions) cases.push_back({LoadCaseKind::named, condition});
  return cases;
}

std::optional<std::size_t> branch_of(const LoomNetwork& network, const BranchIndex& index,
                                     const std::string& subject, BranchKind kind) {
  const auto found = index.branches.find(subject);
  if (found == index.branches.end()) return std::nullopt;
  const auto of_kind = std::ranges::find_if(
      found->second, [&](std::size_t branch) { return network.branches[branch].kind == kind; });
  if (of_kind == found->second.end()) return std::nullopt;
  return *of_kind;
}

std::shared_ptr<const BranchIndex> branch_index_of(const SizingRun& run, const LoomNetwork& network) {
  BranchIndex index;
  index.at_node.resize(network.nodes.size());
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const NetworkBranch& branch = network.branches[i];
    index.branches[branch.subject].push_back(i);
    index.at_node[branch.a.value].push_back(i);
    index.at_node[branch.b.value].push_back(i);
  }
  for (const Wire& wire : run.planned)
    index.wire_branches.push_back(branch_of(network, index, wire.id, BranchKind::wire));
  return std::make_shared<BranchIndex>(std::move(index));
}

void note_problems(SizingRun& run, const Problems& problems) {
  for (const Problem& problem : problems) {
    if (std::find(run.problems.begin(), run.problems.end(), problem) == run.problems.end())
      run.problems.push_back(problem);
  }
}

// The load cases of a condition, weakest corner first. They differ in values only, so they share one index.
std::vector<LoadCase> make_load_cases(const SizingRun& run, const LoomFrame& frame, const NamedCase& named,
                                      bool turned = false) {
  std::vector<LoadCase> load_cases;
  const auto solver = std::make_shared<Solver>();
  for (const Corner corner : named.corners) {
    LoadCase& load_case = load_cases.emplace_back();
    load_case.corner = corner;
    load_case.kind = named.kind;
    load_case.condition = named.condition;
    NetworkOptions options{LoomState::as_planned, corner};
    if (turned)
      options.one = OneCorner{"", "", corner == Corner::weakest ? Corner::strongest : Corner::weakest};
    load_case.network = network_of(frame, named.condition, options);
    load_case.solver = solver;
    const LoadCase& first = load_cases.front();
    const bool alike = load_cases.size() > 1 && are_alike(first.network, load_case.network);
    load_case.index = alike ? first.index : branch_index_of(run, load_case.network);
    if (named.kind == LoadCaseKind::charging) charge_from_sources(run, load_case);
    if (named.flat) charge_battery(run, *named.flat, load_case);
  }
  return load_cases;
}

Problems solve_load_case(LoadCase& load_case, const NetworkSolution* near) {
  auto solution = solve(load_case.network, *load_case.solver, load_case.solved ? &load_case.solution : near);
  load_case.stale = false;
  load_case.solved = solution.has_value();
  if (!load_case.solved) return {solution.error()};
  load_case.solution = std::move(*solution);
  return load_case.solution.problems;
}

// The corners of a condition one after the other, the second from the first; the conditions in parallel.
void solve_load_cases(SizingRun& run, const std::vector<LoadCase*>& load_cases) {
  std::vector<std::size_t> first;
  for (std::size_t k = 0; k < load_cases.size(); ++k) {
    if (k == 0 || load_cases[k]->solver != load_cases[k - 1]->solver) first.push_back(k);
  }
  std::vector<Problems> problems(load_cases.size());
  parallel_for(first.size(), [&](std::size_t condition) {
    const std::size_t end = condition + 1 < first.size() ? first[condition + 1] : load_cases.size();
    const NetworkSolution* near = nullptr;
    for (std::size_t k = first[condition]; k < end; ++k) {
      problems[k] = solve_load_case(*load_cases[k], near);
      near = load_cases[k]->solved ? &load_cases[k]->solution : nullptr;
    }
  });
  for (const Problems& found : problems) note_problems(run, found);
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

SizingRun sizing_run_of(const Graft& graft, const AlteredLoom& loom, const RuleBook& rules) {
  SizingRun run;
  run.graft = &graft;
  run.loom = &loom;
  run.rules = &rules;
  PlannedWires planned = as_planned(graft);
  run.planned = planned.wires;
  note_problems(run, planned.problems);
  run.frame = frame_of(graft, std::move(planned), loom.forbidden);
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::add && step.added && step.added->area)
      run.sizes[step.added->id] = wire_size_of(*step.added->area);
  }
  run.heat_plan = heat_plan_of(run);
  const std::vector<NamedCase> cases = load_case_conditions(*run.frame, loom);
  std::vector<std::vector<LoadCase>> load_cases(cases.size());
  parallel_for(cases.size(),
               [&](std::size_t k) { load_cases[k] = make_load_cases(run, *run.frame, cases[k]); });
  for (std::vector<LoadCase>& of_condition : load_cases)
    std::ranges::move(of_condition, std::back_inserter(run.load_cases));
  for (const LoadCase& load_case : run.load_cases) note_problems(run, load_case.network.problems);
  return run;
}

void set_size(SizingRun& run, const std::string& wire, const WireSize& size) {
  const auto known = run.sizes.find(wire);
  if (known == run.sizes.end()) return;
  const double factor = size.resistance / known->second.resistance;
  known->second = size;
  if (factor == 1.0) return;
  for (LoadCase& load_case : run.load_cases) {
    const auto branch = branch_of(load_case, wire, BranchKind::wire);
    if (!branch) continue;
    Resistor& resistor = load_case.network.circuit.resistors[load_case.network.branches[*branch].index];
    resistor.resistance = resistor.resistance * factor;
    load_case.stale = true;
  }
}

void set_fuse(SizingRun& run, const std::string& fuse, const FuseChoice& choice) {
  run.fuses.insert_or_assign(fuse, choice);
  const Device* device = find_device(*run.graft, fuse);
  if (!device || device->resistance) return;
  for (LoadCase& load_case : run.load_cases) {
    const auto branch = branch_of(load_case, fuse, BranchKind::fuse);
    if (!branch || load_case.network.branches[*branch].list != ElementList::resistor) continue;
    const auto clips = device_figure(*device, "contact_ohm", system_of(run));
    const double joint = clips ? clips->figure.middle() : 0.0;
    const Ohms cold = cold_resistance(*choice.family, choice.rating);
    load_case.network.circuit.resistors[load_case.network.branches[*branch].index].resistance = {cold.si +
                                                                                                 joint};
    load_case.stale = true;
  }
}

void solve_all(SizingRun& run) {
  std::vector<LoadCase*> load_cases;
  for (LoadCase& load_case : run.load_cases) {
    if (load_case.stale) load_cases.push_back(&load_case);
  }
  solve_load_cases(run, load_cases);
}

void solve_loaded(SizingRun& run) {
  std::vector<LoadCase*> load_cases;
  for (LoadCase& load_case : run.load_cases) {
    const bool idle = load_case.kind == LoadCaseKind::switches_open ||
                      load_case.kind == LoadCaseKind::at_rest || load_case.kind == LoadCaseKind::cranking;
    if (!idle && load_case.stale) load_cases.push_back(&load_case);
  }
  solve_load_cases(run, load_cases);
}

namespace {

// At the sizes with which the networks are built.
SizingRun unsolved_copy(const SizingRun& run) {
  SizingRun copy{run.graft, run.loom, run.rules, run.frame, run.planned, {}, {}, {}, {}, {}};
  for (const PlanStep& step : run.graft->plan) {
    if (step.action == PlanAction::add && step.added && step.added->area)
      copy.sizes[step.added->id] = wire_size_of(*step.added->area);
  }
  return copy;
}

void take_sizes(const SizingRun& run, SizingRun& copy) {
  for (const auto& [wire, size] : run.sizes) set_size(copy, wire, size);
  for (const auto& [fuse, choice] : run.fuses) set_fuse(copy, fuse, choice);
}

// Its cathode on the side that is positive while the coil works.
void add_suppression_diode(const LoadCase& working, const Device& device, LoadCase& reversed) {
  const DeviceKind& diode = *device_kind("diode");
  const auto ends = consumer_ends(working, device);
  if (!ends) return;
  Circuit& circuit = reversed.network.circuit;
  // Where it is least in the way of the current.
  constexpr double leakage = 1e9;
  circuit.diodes.push_back({ends->minus,
                            ends->plus,
                            {diode.figures.at("forward_v").low()},
                            {diode.figures.at("resistance_ohm").low()},
                            {leakage}});
  reversed.network.branches.push_back({BranchKind::diode,
                                       device.id,
                                       device_name(device) + " diode",
                                       ends->minus,
                                       ends->plus,
                                       ElementList::diode,
                                       circuit.diodes.size() - 1,
                                       {},
                                       {}});
}

}  // namespace

SizingRun reversed_run(const SizingRun& run, Volts volts) {
  const LoadCase& working = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  NamedCase named{LoadCaseKind::named, working.condition, {Corner::strongest}};
  named.condition.name = "battery reversed, everything on";
  named.condition.supply = Volts{-volts.si};
  SizingRun reversed = unsolved_copy(run);
  reversed.load_cases = make_load_cases(reversed, *run.frame, named);
  LoadCase& load_case = reversed.load_cases.front();
  for (const AlteredCircuit& circuit : run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*run.graft, id);
      if (device && device->suppression == "diode") add_suppression_diode(working, *device, load_case);
    }
  }
  load_case.index = branch_index_of(reversed, load_case.network);
  take_sizes(run, reversed);
  solve_all(reversed);
  return reversed;
}

SizingRun turned_run(const SizingRun& run) {
  SizingRun turned = unsolved_copy(run);
  for (const LoadCase& load_case : run.load_cases) {
    if (load_case.kind != LoadCaseKind::everything_on && load_case.kind != LoadCaseKind::running) continue;
    const NamedCase named{load_case.kind, load_case.condition, {load_case.corner}};
    turned.load_cases.push_back(std::move(make_load_cases(turned, *run.frame, named, true).front()));
  }
  take_sizes(run, turned);
  return turned;
}

bool are_alike(const LoomNetwork& one, const LoomNetwork& other) {
  const auto alike = [](const NetworkBranch& a, const NetworkBranch& b) {
    return a.subject == b.subject && a.kind == b.kind && a.a.value == b.a.value && a.b.value == b.b.value;
  };
  return one.nodes.size() == other.nodes.size() && std::ranges::equal(one.branches, other.branches, alike);
}

SizingSnapshot snapshot_of(const SizingRun& run) {
  SizingSnapshot snapshot{run.sizes, {}};
  snapshot.load_cases.reserve(run.load_cases.size());
  for (const LoadCase& load_case : run.load_cases)
    snapshot.load_cases.push_back(
        {load_case.network.circuit.resistors, load_case.solution, load_case.solved, load_case.stale});
  return snapshot;
}

void restore(SizingRun& run, SizingSnapshot&& snapshot) {
  run.sizes = std::move(snapshot.sizes);
  for (std::size_t k = 0; k < run.load_cases.size(); ++k) {
    LoadCase& load_case = run.load_cases[k];
    load_case.network.circuit.resistors = std::move(snapshot.load_cases[k].resistors);
    load_case.solution = std::move(snapshot.load_cases[k].solution);
    load_case.solved = snapshot.load_cases[k].solved;
    load_case.stale = snapshot.load_cases[k].stale;
  }
}

const LoadCase& load_case_of(const SizingRun& run, LoadCaseKind kind, Corner corner) {
  return *std::find_if(run.load_cases.begin(), run.load_cases.end(), [&](const LoadCase& load_case) {
    return load_case.kind == kind && load_case.corner == corner;
  });
}

std::optional<std::size_t> branch_of(const LoadCase& load_case, const std::string& subject, BranchKind kind) {
  return branch_of(load_case.network, *load_case.index, subject, kind);
}

SystemVolts system_of(const SizingRun& run) {
  return system_of(run.graft->vehicle.supply);
}

const Wire* planned_wire(const SizingRun& run, const std::string& id) {
  const auto found =
      std::lower_bound(run.planned.begin(), run.planned.end(), id,
                       [](const Wire& wire, const std::string& name) { return wire.id < name; });
  return found == run.planned.end() || found->id != id ? nullptr : &*found;
}

std::vector<Amperes> greatest_currents(const SizingRun& run) {
  std::vector<Amperes> greatest(run.planned.size());
  for (const LoadCase& load_case : run.load_cases) {
    if (!load_case.solved) continue;
    for (std::size_t i = 0; i < greatest.size(); ++i) {
      if (!load_case.index->wire_branches[i]) continue;
      const double current = std::abs(
          branch_current(load_case.network, load_case.solution, *load_case.index->wire_branches[i]).si);
      greatest[i] = std::max(greatest[i], Amperes{current});
    }
  }
  return greatest;
}

Volts volts_at(const LoadCase& load_case, NodeId node) {
  return load_case.solution.point.nodes[node.value];
}

}  // namespace loomgraft::design
