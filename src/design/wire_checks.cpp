// What one wire must stand: volts lost in it, heat, a mechanical minimum, its terminal.
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "standards/copper.h"
#include "standards/terminal_fit.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// An earth wire: from its lower end to the battery there are only conductors.
bool returns_to_body(const TrialRun& run, std::size_t branch) {
  const NetworkBranch& item = run.network.branches[branch];
  const bool forward = branch_current(run.network, run.solution, branch).si >= 0;
  const NodeId lower = forward ? item.b : item.a;
  if (lower == earth_node) return true;
  for (const PathStep& step : feed_path(run, lower, Walk::downstream)) {
    const NetworkBranch& next = run.network.branches[step.branch];
    if (!is_conductor(next.kind)) return next.kind == BranchKind::supply;
    if (next.a == earth_node || next.b == earth_node) return true;
  }
  return false;
}

std::string print_length(const Wire& wire) {
  return wire.length ? print(*wire.length) : std::string("assumed");
}

Check drop_in_run(const Trial& trial, const TrialRun& run, const Wire& wire, std::size_t branch) {
  const NetworkBranch& item = run.network.branches[branch];
  const double drop = std::abs(volts_at(run, item.a).si - volts_at(run, item.b).si);
  const bool earth = returns_to_body(run, branch);
  const char* name = earth ? "drop_earth_v" : "drop_supply_v";
  Check check = make_check(CheckKind::wire_drop, wire.id,
                           earth ? "volts lost in this earth wire" : "volts lost in this wire",
                           {drop, rule(*trial.rules, name), "V", true});
  check.condition = words_of(run);
  check.assumed = !wire.length;
  const Amperes current{std::abs(branch_current(run.network, run.solution, branch).si)};
  check.why = {
      "U = I r20 L (1 + alpha (T - 20 C)); current from the solved network",
      rule_source(*trial.rules, name),
      {{"current", print(current), check.condition},
       {"resistance", print(Ohms{current.si > 0 ? drop / current.si : 0.0}), "size, length, temperature"},
       {"length", print_length(wire), wire.length ? "the plan" : "nobody stated it"}}};
  return check;
}

double celsius_high(const WireHeat& heat) {
  return heat.runs_away ? copper().melting.degrees : heat.conductor.degrees;
}

}  // namespace

std::optional<Check> wire_drop_check(const Trial& trial, const std::string& id) {
  const Wire* wire = planned_wire(trial, id);
  std::optional<Check> worst;
  for (const TrialRun& run : trial.runs) {
    const auto branch = branch_of(run, id, BranchKind::wire);
    if (!run.solved || !branch || !wire || run.corner != Corner::weakest) continue;
    // A thousandth of an ampere loses nothing that matters, and says nothing of what the wire carries.
    if (std::abs(branch_current(run.network, run.solution, *branch).si) < 1e-3) continue;
    keep_worse(worst, drop_in_run(trial, run, *wire, *branch));
  }
  return worst;
}

std::optional<Check> heat_check(const Trial& trial, const std::string& id, const LoomHeat& heat) {
  const Wire* wire = planned_wire(trial, id);
  const auto found = heat.find(id);
  if (!wire || found == heat.end()) return std::nullopt;
  const WireHeat& warm = found->second;
  const ChosenInsulation chosen = insulation_of(*wire);
  Check check = make_check(CheckKind::heat, id, "conductor in the hottest place on its way",
                           {celsius_high(warm), chosen.insulation->highest.degrees, "C", true});
  // A temperature has no zero to take a share of: the margin is the part of the rise that is left.
  const double room = chosen.insulation->highest - warm.air;
  check.margin = room > 0 ? (chosen.insulation->highest.degrees - celsius_high(warm)) / room : -1.0;
  check.passes = check.margin >= 0.0;
  check.condition = "greatest current of any condition";
  check.assumed = warm.air_assumed || chosen.assumed;
  const std::string where =
      warm.path.empty() ? "alone"
                        : "path " + warm.path + " with " + std::to_string(warm.neighbours) + " others";
  check.why = {"heat made = heat lost by convection and radiation; bundle as one warm cylinder",
               "Churchill and Chu 1975; docs/engine-heat.md",
               {{"current", print(warm.current), "network"},
                {"air", print(warm.air), warm.air_assumed ? "usual, nobody stated it" : "the place"},
                {"laid", where, "the plan"},
                {"insulation", chosen.insulation->name, chosen.assumed ? "assumed" : "the plan"}}};
  return check;
}

std::optional<Check> smallest_size_check(const Trial& trial, const std::string& id) {
  const auto size = trial.sizes.find(id);
  if (size == trial.sizes.end()) return std::nullopt;
  Check check = make_check(
      CheckKind::smallest_size, id, "size that hands and vibration do not break",
      {in_square_millimetres(size->second.area), rule(*trial.rules, "smallest_wire_mm2"), "mm2", false});
  check.why = {"area at least the rule's", rule_source(*trial.rules, "smallest_wire_mm2"), {}};
  return check;
}

std::optional<Check> terminal_check(const Trial& trial, const std::string& id) {
  const Wire* wire = planned_wire(trial, id);
  const auto size = trial.sizes.find(id);
  if (!wire || size == trial.sizes.end()) return std::nullopt;
  std::optional<Check> worst;
  for (const WireEnd& end : {wire->from, wire->to}) {
    const auto width = terminal_width_at(*trial.graft, end);
    const TerminalFit* fit = width ? terminal_fit(*width) : nullptr;
    if (!fit) continue;
    const double area = in_square_millimetres(size->second.area);
    const bool too_small = area < in_square_millimetres(fit->smallest);
    const double limit = in_square_millimetres(too_small ? fit->smallest : fit->largest);
    Check check =
        make_check(CheckKind::terminal_fit, id,
                   "wire that the " + print(*width) + " terminal at " + end.at + " " + end.cavity + " takes",
                   {area, limit, "mm2", !too_small});
    check.why = {"area within the terminal's range", fit->source + " (" + fit->status + ")", {}};
    keep_worse(worst, check);
  }
  return worst;
}

}  // namespace loomgraft::design
