// First the sizes of the added wires, then every check at those sizes, then what depends on the result: remedies of
// failing circuits, each designed again on a copy, and back-feeds, all in parallel.
#include "design/design.h"

#include <algorithm>

#include "base/parallel.h"
#include "base/stop.h"
#include "design/assumption_outcomes.h"
#include "design/assumptions.h"
#include "design/checks_internal.h"
#include "design/missing.h"
#include "design/remedy.h"
#include "design/sizing.h"
#include "loom/routes.h"
#include "loom/validate.h"
#include "network/cavity_pins.h"
#include "network/frame.h"
#include "standards/terminal_fit.h"

namespace loomgraft {

using namespace design;
namespace {

struct Work {
  const Graft& graft;
  const AlteredLoom& loom;
  SizingRun& run;
  const std::map<std::string, ChosenSize>& smallest;
  const std::map<std::string, SquareMetres>& stated;
  LoomHeat heat;
  std::vector<Missing> wrong{};                          // with which nothing passes
  FuseProtections fuse_protections{};                    // of the wires that were sized
  std::map<std::string, std::vector<Check>> reversed{};  // by circuit
  std::set<std::string> judged_modules{};
};

// The lowest temperature class that withstands the conductor.
std::string class_for(Celsius conductor) {
  const Insulation* lowest = nullptr;
  for (const Insulation& item : insulations()) {
    if (!item.name.starts_with("class ") || item.highest < conductor) continue;
    if (!lowest || item.highest < lowest->highest) lowest = &item;
  }
  return lowest ? lowest->name : "none";
}

// Without a stated length that of its way; the interval of each is what nobody has measured.
void set_length(const Work& work, const Wire& wire, WireDesign& result) {
  const auto route = route_length(work.run.graft->paths, wire.along);
  if (wire.length) {
    result.length = result.length_shortest = result.length_longest = *wire.length;
  } else if (route) {
    result.length_assumed = route->guessed;
    result.length = route->typical;
    result.length_shortest = route->shortest;
    result.length_longest = route->longest;
  }
}

WireDesign wire_design(const Work& work, const Wire& wire) {
  WireDesign result;
  result.wire = wire.id;
  result.signal = wire.signal;
  result.length_assumed = !wire.length;
  set_length(work, wire, result);
  const ChosenInsulation chosen = insulation_of(wire);
  result.insulation = chosen.insulation->name;
  result.insulation_assumed = chosen.assumed;
  const auto warm = work.heat.find(wire.id);
  if (warm != work.heat.end()) {
    result.current = warm->second.current;
    result.conductor = warm->second.conductor;
    if (warm->second.runs_away || result.conductor > chosen.insulation->highest)
      result.insulation_needed = warm->second.runs_away ? "none" : class_for(result.conductor);
  }
  const auto smallest = work.smallest.find(wire.id);
  const auto stated = work.stated.find(wire.id);
  if (stated != work.stated.end()) {
    result.stated = stated->second;
    result.stated_awg = nearest_awg(stated->second);
  }
  if (smallest == work.smallest.end()) return result;
  result.smallest = smallest->second.size.area;
  result.smallest_awg = nearest_awg(result.smallest);
  result.limited_by = smallest->second.limited_by_text;
  const WireSize& used = work.run.sizes.at(wire.id);
  result.outer_diameter = used.outer_diameter;
  result.bend_radius = used.outer_diameter * rule(*work.run.rules, "bend_diameters");
  if (const auto force = pull_force(used.area)) result.pull_force = force->smallest;
  const auto fused = work.fuse_protections.of_wire.find(wire.id);
  if (fused != work.fuse_protections.of_wire.end()) result.protection = fused->second.protection;
  return result;
}

void add_wire_checks(const Work& work, const std::string& wire, std::vector<Check>& checks) {
  const auto add = [&](std::optional<Check> check) {
    if (check) checks.push_back(std::move(*check));
  };
  add(wire_drop_check(work.run, wire));
  add(heat_check(work.run, wire, work.heat));
  const auto fused = work.fuse_protections.of_wire.find(wire);
  if (fused != work.fuse_protections.of_wire.end())
    checks.insert(checks.end(), fused->second.checks.begin(), fused->second.checks.end());
  add(smallest_size_check(work.run, wire));
  add(terminal_check(work.run, wire));
  add(terminal_current_check(work.run, wire));
}

void add_device_checks(const Work& work, const std::string& id, std::vector<Check>& checks) {
  const Device* device = find_device(work.graft, id);
  if (!device) return;
  if (auto check = path_drop_check(work.run, *device)) checks.push_back(std::move(*check));
  if (auto check = pull_in_check(work.run, *device)) checks.push_back(std::move(*check));
  if (auto check = hold_check(work.run, *device)) checks.push_back(std::move(*check));
  for (Check& check : motor_checks(work.run, *device)) checks.push_back(std::move(check));
  for (Check& check : inrush_checks(work.run, *device)) checks.push_back(std::move(check));
}

// Marks what decided each size, what fails, and the check with the smallest margin.
void mark_deciding(const Work& work, CircuitDesign& circuit) {
  Check* closest = nullptr;
  for (Check& check : circuit.checks) {
    const bool of_wire = check.subject.kind == DesignSubject::Kind::wire;
    const auto chosen = of_wire ? work.smallest.find(check.subject.at.at) : work.smallest.end();
    check.deciding =
        !check.passes || (chosen != work.smallest.end() && chosen->second.limited_by == check.kind);
    if (!closest || check.margin < closest->margin) closest = &check;
    circuit.passes = circuit.passes && (check.passes || !check.judged);
    circuit.judged = circuit.judged && check.judged;
  }
  if (closest) closest->deciding = true;
}

bool has_added_wire(const Work& work, const AlteredCircuit& altered) {
  return std::any_of(altered.wires.begin(), altered.wires.end(),
                     [&](const std::string& wire) { return work.loom.added.contains(wire); });
}

bool meets(const SizingRun& run, const AlteredCircuit& altered, const Device& device) {
  return std::ranges::any_of(altered.wires, [&](const std::string& id) {
    const Wire* wire = planned_wire(run, id);
    return wire && (wire->from.at == device.id || wire->to.at == device.id);
  });
}

void add_new_work(const Work& work, const AlteredCircuit& altered, CircuitDesign& circuit) {
  for (const std::string& wire : altered.wires) {
    if (work.loom.added.contains(wire)) add_wire_checks(work, wire, circuit.checks);
  }
  for (const std::string& id : altered.devices) add_device_checks(work, id, circuit.checks);
  for (const Device* fuse : fuses_of(work.run, altered)) {
    circuit.fuses.push_back(fuse_design(work.run, *fuse));
    if (auto check = fuse_load_check(work.run, *fuse)) circuit.checks.push_back(std::move(*check));
    const auto dead_short = work.fuse_protections.through_fuse.find(fuse->id);
    if (dead_short == work.fuse_protections.through_fuse.end() || !meets(work.run, altered, *fuse)) continue;
    if (auto check = fuse_breaking_check(work.run, *fuse, dead_short->second))
      circuit.checks.push_back(std::move(*check));
  }
  for (Check& check : earth_offset_checks(work.run, altered)) circuit.checks.push_back(std::move(check));
}

// A module is judged with the first circuit that the plan brings to it.
void add_module_checks(const Work& work, const AlteredCircuit& altered, std::set<std::string>& judged,
                       std::vector<Check>& checks) {
  for (const std::string& id : altered.wires) {
    const Wire* wire = planned_wire(work.run, id);
    if (!wire) continue;
    for (const WireEnd* end : {&wire->from, &wire->to}) {
      const Module* module = pin_at(work.graft, *end).module;
      if (!module || !judged.insert(module->id).second) continue;
      for (Check& check : module_supply_checks(work.run, *module)) checks.push_back(std::move(check));
    }
  }
}

void add_supply_checks(Work& work, const AlteredCircuit& altered, std::vector<Check>& checks) {
  for (const std::string& id : altered.devices) {
    const Device* device = find_device(work.graft, id);
    if (!device) continue;
    for (Check& check : supply_checks(work.run, *device)) checks.push_back(std::move(check));
  }
  const auto reversed = work.reversed.find(altered.id);
  if (reversed != work.reversed.end())
    checks.insert(checks.end(), reversed->second.begin(), reversed->second.end());
  add_module_checks(work, altered, work.judged_modules, checks);
}

// A wire that only moves to another cavity keeps its route and its load: only its pin changes.
CircuitDesign circuit_design(Work& work, const AlteredCircuit& altered) {
  CircuitDesign circuit;
  circuit.id = altered.id;
  circuit.name = altered.name;
  for (const std::string& id : altered.wires) {
    if (const Wire* wire = planned_wire(work.run, id)) circuit.wires.push_back(wire_design(work, *wire));
  }
  const bool is_new = has_added_wire(work, altered);
  if (is_new) add_new_work(work, altered, circuit);
  for (Check& check : pin_checks(work.run, altered)) circuit.checks.push_back(std::move(check));
  if (is_new) {
    for (Check& check : contact_checks(work.run, altered)) circuit.checks.push_back(std::move(check));
  }
  add_supply_checks(work, altered, circuit.checks);
  mark_deciding(work, circuit);
  circuit.missing = missing_facts(work.run, altered);
  circuit.missing.insert(circuit.missing.end(), work.wrong.begin(), work.wrong.end());
  if (!circuit.missing.empty()) circuit.passes = circuit.judged = false;
  return circuit;
}

// A donor for another supply is found where the plan alters no wire of it too.
void add_other_modules(Work& work, DesignReport& report) {
  for (const Module& module : work.graft.modules) {
    if (module.role != ModuleRole::donor || !module.rated || work.judged_modules.contains(module.id))
      continue;
    CircuitDesign circuit;
    circuit.id = module.id;
    circuit.name = module.name.empty() ? module.id : module.name;
    circuit.checks = module_supply_checks(work.run, module);
    mark_deciding(work, circuit);
    if (!circuit.passes) report.circuits.push_back(std::move(circuit));
  }
}

// Sizes that the plan states; they are used instead of those chosen.
std::map<std::string, SquareMetres> stated_sizes(const Graft& graft) {
  std::map<std::string, SquareMetres> stated;
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::add && step.added && step.added->area && step.added->area->si > 0)
      stated[step.added->id] = *step.added->area;
  }
  return stated;
}

// With the largest wires, where loads draw most; the sizes are as before afterwards.
void choose_fuses(SizingRun& run, const std::vector<WireSize>& stock) {
  std::vector<const Device*> open;
  for (const Device& device : run.graft->devices) {
    if (is_fuse(device) && !device.rating && !run.frame->forbidden.has_device(device.id))
      open.push_back(&device);
  }
  if (open.empty()) return;
  const std::map<std::string, WireSize> sizes = run.sizes;
  for (const auto& [wire, size] : sizes) set_size(run, wire, stock.back());
  constexpr int rounds = 2;  // a larger fuse has less resistance, and the load draws a little more
  for (int round = 0; round < rounds; ++round) {
    solve_loaded(run);
    for (const Device* fuse : open) {
      const FuseDesign design = fuse_design(run, *fuse);
      if (design.smallest) set_fuse(run, fuse->id, {design.family, *design.smallest});
    }
  }
  for (const auto& [wire, size] : sizes) set_size(run, wire, size);
}

template <class Value>
std::set<std::string> names_of(const std::map<std::string, Value>& values) {
  std::set<std::string> names;
  for (const auto& [name, value] : values) names.insert(name);
  return names;
}

void append(Problems& all, const Problems& more) {
  for (const Problem& problem : more) {
    if (std::find(all.begin(), all.end(), problem) == all.end()) all.push_back(problem);
  }
}

DesignReport stopped_report() {
  DesignReport report;
  report.passes = false;
  report.problems.push_back(was_stopped());
  return report;
}

std::vector<Assumption> all_assumptions(const SizingRun& run) {
  std::vector<Assumption> list =
      load_case_of(run, LoadCaseKind::everything_on, Corner::weakest).network.assumptions;
  for (Assumption& item : design_assumptions(run)) {
    if (std::ranges::find(list, item) == list.end()) list.push_back(std::move(item));
  }
  return list;
}

std::vector<DesignAssumption> without_outcomes(const std::vector<Assumption>& assumptions) {
  std::vector<DesignAssumption> list;
  list.reserve(assumptions.size());
  for (const Assumption& item : assumptions) list.push_back({item, {}});
  return list;
}

// They are independent of each other.
void add_remedies_and_back_feeds(const Graft& chosen, const LoomFrame& planned, const DesignOptions& options,
                                 DesignReport& report) {
  std::vector<CircuitDesign*> failing;
  for (CircuitDesign& circuit : report.circuits) {
    if (options.remedies && !circuit.passes) failing.push_back(&circuit);
  }
  parallel_for(failing.size() + 1, [&](std::size_t k) {
    if (options.stop.stop_requested()) return;
    if (k < failing.size()) {
      failing[k]->remedies = remedies_for(chosen, *failing[k], planned.forbidden);
    } else if (options.back_feeds) {
      report.back_feeds = back_feeds(planned);
    }
  });
}

// A copy that is designed for the sake of one remedy.
DesignReport designed(const Graft& graft, const DesignOptions& options, const ForbiddenParts& forbidden,
                      bool is_copy) {
  const StopToken& stop = options.stop;
  DesignReport report;
  const RuleBook rules = rule_book(graft);
  report.rule_set = rules.set->name;
  append(report.problems, rules.problems);
  const AlteredLoom loom = altered_loom(graft, forbidden);
  append(report.problems, loom.problems);
  std::vector<Missing> wrong =
      is_copy ? std::vector<Missing>{} : wrong_values(validate(graft, loom.forbidden));
  const std::vector<WireSize> stock = stock_sizes(rules);
  std::map<std::string, WireSize> start;
  for (const std::string& wire : loom.added) start.emplace(wire, stock.front());
  const Graft sized = with_sizes(graft, start);
  SizingRun run = sizing_run_of(sized, loom, rules);
  choose_fuses(run, stock);
  const auto stated = stated_sizes(graft);
  const auto smallest =
      choose_sizes(run, stock, options.size_stated ? std::set<std::string>{} : names_of(stated), stop);
  if (stop.stop_requested()) return stopped_report();
  for (const auto& [wire, area] : stated) set_size(run, wire, wire_size_of(area));
  solve_all(run);
  Problems found = report.problems;
  append(found, run.problems);
  for (Missing& item : wrong_values(found)) wrong.push_back(std::move(item));
  Work work{graft, loom, run, smallest, stated, loom_heat(run)};
  work.wrong = wrong;
  work.fuse_protections = fuse_protections(run, names_of(smallest), work.heat);
  if (!is_copy) work.reversed = reversed_checks(run);
  const Graft chosen = with_sizes(graft, run.sizes);
  for (const AlteredCircuit& altered : loom.circuits) {
    if (stop.stop_requested()) return stopped_report();
    report.circuits.push_back(circuit_design(work, altered));
  }
  add_other_modules(work, report);
  for (const CircuitDesign& circuit : report.circuits) report.passes = report.passes && circuit.passes;
  add_remedies_and_back_feeds(chosen, *run.frame, options, report);
  if (stop.stop_requested()) return stopped_report();
  report.passes = report.passes && report.back_feeds.empty() && wrong.empty();
  if (is_copy) return report;
  report.missing = unstated_ratings(run);
  report.assumptions = options.outcomes ? with_outcomes(run, work.heat, report.circuits, all_assumptions(run))
                                        : without_outcomes(all_assumptions(run));
  append(report.problems, run.problems);
  return report;
}

}  // namespace

DesignReport design_circuits(const Graft& graft, const DesignOptions& options) {
  return designed(graft, options, forbidden_parts(graft), false);
}

DesignReport design::design_of_copy(const Graft& copy, const ForbiddenParts& forbidden) {
  return designed(copy, {.remedies = false, .size_stated = false, .back_feeds = false, .outcomes = false},
                  forbidden, true);
}

}  // namespace loomgraft
