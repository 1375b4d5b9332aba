// What one wire must pass: voltage drop, heat, a mechanical minimum, its terminal.
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "loom/part_text.h"
#include "standards/copper.h"
#include "standards/terminal_fit.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// An earth wire: from its end with the lower voltage to the battery there are only conductors.
bool returns_to_body(const LoadCase& load_case, std::size_t branch) {
  const NetworkBranch& item = load_case.network.branches[branch];
  const bool forward = branch_current(load_case.network, load_case.solution, branch).si >= 0;
  const NodeId lower = forward ? item.b : item.a;
  if (lower == earth_node) return true;
  for (const PathStep& step : feed_path(load_case, lower, Walk::downstream)) {
    const NetworkBranch& next = load_case.network.branches[step.branch];
    const bool charges =
        load_case.kind == LoadCaseKind::charging || load_case.kind == LoadCaseKind::flat_battery;
    if (!is_conductor(next.kind)) return next.kind == BranchKind::supply && !charges;
    if (next.a == earth_node || next.b == earth_node) return true;
  }
  return false;
}

// The length that the network was solved with.
std::string print_length(const LoadCase& load_case, const Wire& wire) {
  if (wire.length) return print(*wire.length);
  for (const Assumption& item : load_case.network.assumptions) {
    if (item.subject == wire.id && item.quantity == "length") return item.value;
  }
  return "of its way";
}

// Where a wire loses most of what it may lose: found first, and told as a check only once.
struct WorstDrop {
  const LoadCase* load_case = nullptr;
  std::size_t branch = 0;
  double drop = 0.0;
  bool earth = false;
  double margin = 0.0;
};

double drop_of(const LoadCase& load_case, std::size_t branch) {
  const NetworkBranch& item = load_case.network.branches[branch];
  return std::abs(volts_at(load_case, item.a).si - volts_at(load_case, item.b).si);
}

double share_left(double drop, double limit) {
  return limit == 0.0 ? -drop : (limit - drop) / std::abs(limit);
}

Check drop_check(const SizingRun& run, const WorstDrop& worst, const Wire& wire) {
  const LoadCase& load_case = *worst.load_case;
  const double drop = worst.drop;
  const bool earth = worst.earth;
  const char* name = earth ? "drop_earth_v" : "drop_supply_v";
  Check check = make_check(CheckKind::wire_drop, wire_subject(wire.id),
                           earth ? "volts lost in this earth wire" : "volts lost in this wire",
                           {drop, rule(*run.rules, name), "V", true});
  check.condition = text_of(load_case);
  check.assumed = !wire.length;
  const Amperes current{std::abs(branch_current(load_case.network, load_case.solution, worst.branch).si)};
  check.why = {
      "U = I r20 L (1 + alpha (T - 20 °C)); current from the solved network",
      rule_source(*run.rules, name),
      {{"current", print(current), check.condition},
       {"resistance", print(Ohms{current.si > 0 ? drop / current.si : 0.0}), "size, length, temperature"},
       {"length", print_length(load_case, wire), wire.length ? "the plan" : "default value"}}};
  return check;
}

double celsius_high(const WireHeat& heat) {
  return heat.runs_away ? copper().melting.degrees : heat.conductor.degrees;
}

}  // namespace

std::optional<Check> wire_drop_check(const SizingRun& run, const std::string& id) {
  static const double judged = design_figure("judged_current_a");
  const Wire* wire = planned_wire(run, id);
  if (!wire) return std::nullopt;
  const auto position = static_cast<std::size_t>(wire - run.planned.data());
  const double supply_limit = rule(*run.rules, "drop_supply_v");
  const double earth_limit = rule(*run.rules, "drop_earth_v");
  std::optional<WorstDrop> worst;
  for (const LoadCase& load_case : run.load_cases) {
    // What a flat battery takes for a while says nothing of a drop that matters.
    const bool counts = load_case.corner == Corner::weakest && load_case.kind != LoadCaseKind::flat_battery &&
                        load_case.kind != LoadCaseKind::cranking;
    const auto branch = load_case.index->wire_branches[position];
    if (!load_case.solved || !branch || !counts) continue;
    if (std::abs(branch_current(load_case.network, load_case.solution, *branch).si) < judged) continue;
    WorstDrop found{&load_case, *branch, drop_of(load_case, *branch), false, 0.0};
    found.earth = returns_to_body(load_case, *branch);
    found.margin = share_left(found.drop, found.earth ? earth_limit : supply_limit);
    if (!worst || found.margin < worst->margin) worst = found;
  }
  return worst ? std::optional(drop_check(run, *worst, *wire)) : std::nullopt;
}

std::optional<Check> heat_check(const SizingRun& run, const std::string& id, const LoomHeat& heat) {
  const Wire* wire = planned_wire(run, id);
  const auto found = heat.find(id);
  if (!wire || found == heat.end()) return std::nullopt;
  const WireHeat& warm = found->second;
  const ChosenInsulation chosen = insulation_of(*wire);
  Check check = make_check(CheckKind::heat, wire_subject(id), "conductor in the hottest place on its route",
                           {celsius_high(warm), chosen.insulation->highest.degrees, "C", true});
  // A share of a temperature means nothing: the margin is the part of the allowed rise that remains.
  const double allowed = chosen.insulation->highest - warm.air;
  check.margin = allowed > 0 ? (chosen.insulation->highest.degrees - celsius_high(warm)) / allowed : -1.0;
  check.passes = check.margin >= 0.0;
  check.condition = "largest current of any condition";
  check.assumed = warm.air_assumed || chosen.assumed;
  const std::string where =
      warm.path.empty() ? "alone"
                        : "path " + warm.path + " with " + std::to_string(warm.neighbours) + " others";
  check.why = {"heat made = heat lost by convection and radiation; bundle as one warm cylinder",
               "Churchill and Chu 1975; docs/engine-heat.md",
               {{"current", print(warm.current), "network"},
                {"air", print(warm.air), warm.air_assumed ? "default value" : "the place"},
                {"laid", where, "the plan"},
                {"insulation", chosen.insulation->name, chosen.assumed ? "assumed" : "the plan"}}};
  return check;
}

std::optional<Check> smallest_size_check(const SizingRun& run, const std::string& id) {
  const auto size = run.sizes.find(id);
  if (size == run.sizes.end()) return std::nullopt;
  Check check = make_check(
      CheckKind::smallest_size, wire_subject(id), "size that withstands handling and vibration",
      {in_square_millimetres(size->second.area), rule(*run.rules, "smallest_wire_mm2"), "mm2", false});
  check.why = {"area at least the rule's", rule_source(*run.rules, "smallest_wire_mm2"), {}};
  return check;
}

std::optional<Check> terminal_check(const SizingRun& run, const std::string& id) {
  const Wire* wire = planned_wire(run, id);
  const auto size = run.sizes.find(id);
  if (!wire || size == run.sizes.end()) return std::nullopt;
  std::optional<Check> worst;
  for (const WireEnd& end : {wire->from, wire->to}) {
    const auto width = terminal_width_at(*run.graft, end);
    const TerminalFit* fit = width ? terminal_fit(*width) : nullptr;
    if (!fit) continue;
    const double area = in_square_millimetres(size->second.area);
    const bool too_small = area < in_square_millimetres(fit->smallest);
    const double limit = in_square_millimetres(too_small ? fit->smallest : fit->largest);
    Check check = make_check(CheckKind::terminal_fit, wire_subject(id),
                             "wire size that the " + print(*width) + " terminal in " +
                                 cavity_text(*run.graft, {end.at, end.cavity}) + " takes",
                             {area, limit, "mm2", !too_small});
    check.why = {"area within the terminal's range", fit->source + " (" + fit->status + ")", {}};
    keep_worst(worst, check);
  }
  return worst;
}

std::optional<Check> terminal_current_check(const SizingRun& run, const std::string& id) {
  const Wire* wire = planned_wire(run, id);
  const auto size = run.sizes.find(id);
  if (!wire || size == run.sizes.end()) return std::nullopt;
  Amperes most;
  std::string condition;
  for (const LoadCase& load_case : run.load_cases) {
    const auto branch = branch_of(load_case, id, BranchKind::wire);
    if (!branch || !load_case.solved) continue;
    const Amperes current{std::abs(branch_current(load_case.network, load_case.solution, *branch).si)};
    if (current > most) {
      most = current;
      condition = text_of(load_case);
    }
  }
  std::optional<Check> worst;
  for (const WireEnd& end : {wire->from, wire->to}) {
    const auto width = terminal_width_at(*run.graft, end);
    const auto carries = width ? terminal_current(*width, size->second.area) : std::nullopt;
    if (!carries) continue;
    const double limit = carries->fresh.si * design_figure("terminal_share");
    Check check = make_check(CheckKind::terminal_current, wire_subject(id),
                             "current through the " + print(*width) + " terminal in " +
                                 cavity_text(*run.graft, {end.at, end.cavity}),
                             {most.si, limit, "A", true});
    check.condition = condition;
    check.assumed = true;
    // Between what it carries aged in a full plug and what a fresh single one does, only its data sheet can tell.
    check.judged = check.passes || most > carries->fresh;
    check.why = {"current <= share of what a fresh single terminal carries with a wire of this size",
                 carries->source + " (" + carries->status + "); data/design_figures.csv",
                 {{"current", print(most), "solved network"},
                  {"fresh and single", print(carries->fresh), "data/terminal_currents.csv"}}};
    keep_worst(worst, std::move(check));
  }
  return worst;
}

}  // namespace loomgraft::design
