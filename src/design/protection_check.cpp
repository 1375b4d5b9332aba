// What stands between a wire and a fire: the fuse that a short in this wire would blow.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "heat/protection.h"
#include "base/parallel.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct ShortCircuit {
  Amperes current;  // in the wire
  const Device* fuse =
      nullptr;            // the one nearest to the wire on the feeding side that all of it flows through
  bool from_pin = false;  // a module's pin feeds it and nothing else
  std::string text;
};

// One circuit with a way to the body at either end of every wire in question, all open but one in turn: the
// solver meets the same shape each time. Relays stay as they were.
struct ShortBench {
  Circuit circuit;
  Solver solver;
  std::map<NodeId, std::size_t> ways;
  std::span<const Volts> sound;  // volts without any short: most nodes stay near them
};

ShortBench short_bench(const TrialRun& run, const std::set<std::string>& wires) {
  ShortBench bench{run.network.circuit, {}, {}, run.solution.point.nodes};
  if (!run.solved) return bench;
  for (const std::string& wire : wires) {
    const auto branch = branch_of(run, wire, BranchKind::wire);
    if (!branch) continue;
    for (const NodeId end : {run.network.branches[*branch].a, run.network.branches[*branch].b}) {
      if (end == earth_node || !bench.ways.try_emplace(end, bench.circuit.resistors.size()).second) continue;
      bench.circuit.resistors.push_back({end, earth_node, {std::numeric_limits<double>::infinity()}});
    }
  }
  return bench;
}

std::optional<NetworkSolution> with_short(ShortBench& bench, NodeId end) {
  Ohms& way = bench.circuit.resistors[bench.ways.at(end)].resistance;
  const Ohms open = way;
  way = {default_figure("dead_short_ohm")};
  auto point = bench.solver.solve(bench.circuit, bench.sound);
  way = open;
  if (!point) return std::nullopt;
  return NetworkSolution{std::move(*point), {}, {}};
}

ShortCircuit short_at(const Trial& trial, const TrialRun& run, const NetworkSolution& shorted,
                      std::size_t branch, NodeId end) {
  ShortCircuit found;
  found.current = {std::abs(branch_current(run.network, shorted, branch).si)};
  // What feeds the short through this wire; nothing where the wire hangs on the far side of it.
  for (const PathStep& step : feed_path(run, shorted, end, Walk::upstream)) {
    const NetworkBranch& item = run.network.branches[step.branch];
    if (item.kind == BranchKind::fuse && !found.fuse && step.current.si > 0.5 * found.current.si)
      found.fuse = find_device(*trial.graft, item.subject);
    if (item.kind == BranchKind::pin) found.from_pin = true;
  }
  return found;
}

// The harsher of shorts at either end of the wire.
std::optional<ShortCircuit> worst_short(const Trial& trial, const TrialRun& run, ShortBench& bench,
                                        const std::string& wire) {
  const auto branch = branch_of(run, wire, BranchKind::wire);
  if (!run.solved || !branch) return std::nullopt;
  std::optional<ShortCircuit> worst;
  for (const NodeId end : {run.network.branches[*branch].a, run.network.branches[*branch].b}) {
    if (end == earth_node) continue;
    const auto shorted = with_short(bench, end);
    if (!shorted) continue;
    ShortCircuit found = short_at(trial, run, *shorted, *branch, end);
    if (!worst || found.current > worst->current) worst = found;
  }
  return worst;
}

Amperes rating_of(const Trial& trial, const Device& fuse) {
  return fuse.rating ? *fuse.rating : fuse_design(trial, fuse).smallest;
}

Check covered_check(const std::string& wire, const Protection& protection, const Device& fuse,
                    Amperes rating) {
  const double shown = std::min(protection.margin, 1000.0);
  Check check =
      make_check(CheckKind::protection, wire,
                 "time the wire has over the time fuse " + fuse.id + " (" + print(rating) + ") may take",
                 {shown, 1.0, "times", false});
  check.passes = protection.covered;
  if (!protection.covered) check.margin = std::min(check.margin, -0.01);
  return check;
}

Check unfused_check(const std::string& wire, const ShortCircuit& found, Amperes settled, bool fed_by_pin) {
  Check check = make_check(CheckKind::protection, wire,
                           fed_by_pin ? "short circuit current that the module's pin gives"
                                      : "short circuit current with no fuse on the way",
                           {found.current.si, settled.si, "A", true});
  check.why = {"short-circuit current <= current at which the conductor settles at its class temperature",
               "docs/engine-heat.md",
               {{"settles with", print(settled), "heat balance"}}};
  return check;
}

// Nothing where the wire is at its limit before any fault.
std::optional<ProtectionQuestion> question_of(const Wire& wire, const WireHeat& warm,
                                              const ShortCircuit& found, const WireSize& size) {
  const Insulation& insulation = *insulation_of(wire).insulation;
  ProtectionQuestion question;
  question.wire = thermal_wire(size, insulation);
  question.limits = {insulation.highest, insulation.short_circuit};
  question.start = warm.conductor;
  question.around = {warm.air};
  question.dead_short = found.current;
  if (warm.runs_away || question.start >= question.limits.life) return std::nullopt;
  return question;
}

// A fuse is at most what the wire carries for good.
Check fuse_of_wire_check(const Trial& trial, const std::string& wire, const WireProtection& guarded,
                         Amperes settled) {
  const double share = rule(*trial.rules, "fuse_of_wire_fraction");
  Check check = make_check(CheckKind::fuse_of_wire, wire,
                           "rating of fuse " + guarded.fuse + " against what the wire carries for good",
                           {guarded.rating.si, settled.si * share, "A", true});
  check.why = {"rating <= current at which the conductor settles at its class temperature * share",
               rule_source(*trial.rules, "fuse_of_wire_fraction"),
               {{"settles with", print(settled), "heat balance, alone in the hottest air on its way"},
                {"share", std::to_string(share).substr(0, 4), "rule"}}};
  return check;
}

WireProtection protected_by(const Trial& trial, const Device& fuse, const ProtectionQuestion& question) {
  const FuseFamily* named = fuse_family(fuse.model);
  WireProtection result;
  result.fuse = fuse.id;
  result.family = named ? named : fuse_family("");
  result.rating = rating_of(trial, fuse);
  result.question = question;
  result.verdict = protection_of(*result.family, result.rating, question);
  return result;
}

// A wire that ends at a fuse may be short of protection as far as the rule lets a fuse be from its source.
std::optional<Check> lead_to_fuse_check(const Trial& trial, const Wire& wire) {
  const auto ends_at_fuse = [&](const WireEnd& end) {
    const Device* device = find_device(*trial.graft, end.at);
    const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
    return kind && kind->build == DeviceBuild::fuse;
  };
  const double limit = rule(*trial.rules, "fuse_from_source_mm");
  if (!wire.length || (!ends_at_fuse(wire.from) && !ends_at_fuse(wire.to))) return std::nullopt;
  if (in_millimetres(*wire.length) > limit) return std::nullopt;
  Check check = make_check(CheckKind::protection, wire.id, "length of the lead from its source to its fuse",
                           {in_millimetres(*wire.length), limit, "mm", true});
  check.why = {"length <= the rule's", rule_source(*trial.rules, "fuse_from_source_mm"), {}};
  return check;
}

Check guarded_check(const Wire& wire, const WireHeat& warm, const Device& fuse, const WireProtection& guarded,
                    Amperes settled) {
  Check check = covered_check(wire.id, guarded.verdict, fuse, guarded.rating);
  check.condition = "short circuit to the body at the wire's end, highest supply";
  check.assumed = insulation_of(wire).assumed || warm.air_assumed || !wire.length || !fuse.rating;
  check.why = {
      "for every current up to the short: longest opening time of the fuse < time of the wire to its limit",
      "ISO 8820-3 gates; IEC 60949; docs/engine-heat.md",
      {{"dead short", print(guarded.question.dead_short), "network, strongest corner"},
       {"worst current", print(guarded.verdict.worst_current), "least margin"},
       {"fuse opens within", print(guarded.verdict.fuse_time), "gates of its family"},
       {"wire stands", print(guarded.verdict.wire_time), "heat balance in time"},
       {"settles with", print(settled), "heat balance"},
       {"verdict", guarded.verdict.reason, "comparison of the two curves"}}};
  return check;
}

Guard guard_of(const Trial& trial, const Wire& wire, const WireHeat& warm,
               const std::optional<ShortCircuit>& found) {
  Guard guard;
  const auto lead = lead_to_fuse_check(trial, wire);
  if (lead) guard.checks.push_back(*lead);
  if (!found || found->current.si < 1e-3) return guard;
  const auto question = question_of(wire, warm, *found, trial.sizes.at(wire.id));
  if (!question) return guard;
  if (found->fuse) guard.protection = protected_by(trial, *found->fuse, *question);
  if (lead) return guard;
  const Amperes settled = settled_current(question->wire, question->limits.life, question->around);
  if (!guard.protection || !found->fuse) {
    guard.checks.push_back(unfused_check(wire.id, *found, settled, found->from_pin));
    return guard;
  }
  guard.checks.push_back(guarded_check(wire, warm, *found->fuse, *guard.protection, settled));
  guard.checks.push_back(fuse_of_wire_check(trial, wire.id, *guard.protection, settled));
  return guard;
}

}  // namespace

Guards guards_of(const Trial& trial, const std::set<std::string>& wires, const LoomHeat& heat) {
  const TrialRun& run = run_of(trial, TrialState::everything_on, Corner::strongest);
  const std::vector<std::string> ids(wires.begin(), wires.end());
  std::vector<std::optional<Guard>> found(ids.size());
  // Each bench takes a run of the wires: to make one costs more than most shorts.
  const std::size_t benches = std::min(ids.size(), cores());
  parallel_for(benches, [&](std::size_t number) {
    ShortBench bench = short_bench(run, wires);
    for (std::size_t k = number; k < ids.size(); k += benches) {
      const Wire* wire = planned_wire(trial, ids[k]);
      const auto warm = heat.find(ids[k]);
      if (!wire || warm == heat.end()) continue;
      found[k] = guard_of(trial, *wire, warm->second, worst_short(trial, run, bench, ids[k]));
    }
  });
  Guards guards;
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (found[k]) guards.emplace(ids[k], std::move(*found[k]));
  }
  return guards;
}

}  // namespace loomgraft::design
