// The fuse that a short circuit in a wire would blow, against that wire. Each wire is shorted to the body at either end
// in turn; the solver sees the same matrix pattern each time, so a short costs one numeric factorisation.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "base/parallel.h"
#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "heat/protection.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct ShortCircuit {
  Amperes current;               // in the wire
  const Device* fuse = nullptr;  // the nearest on the feeding side that carries most of it
  bool from_pin = false;         // a module's pin feeds it
};

// One circuit with a resistor to the body at either end of every wire in question, all open but one in turn, so that
// the matrix pattern stays the same. Relays stay as they were.
struct ShortBench {
  Circuit circuit;
  Solver solver;
  std::map<NodeId, std::size_t> resistor_at;  // by end: to the body
  std::span<const Volts> sound;               // volts without any short, from which the solver starts
};

ShortBench short_bench(const LoadCase& load_case, const std::set<std::string>& wires) {
  ShortBench bench{load_case.network.circuit, {}, {}, load_case.solution.point.nodes};
  if (!load_case.solved) return bench;
  for (const std::string& wire : wires) {
    const auto branch = branch_of(load_case, wire, BranchKind::wire);
    if (!branch) continue;
    for (const NodeId end : {load_case.network.branches[*branch].a, load_case.network.branches[*branch].b}) {
      if (end == earth_node || !bench.resistor_at.try_emplace(end, bench.circuit.resistors.size()).second)
        continue;
      bench.circuit.resistors.push_back({end, earth_node, {std::numeric_limits<double>::infinity()}});
    }
  }
  return bench;
}

std::optional<NetworkSolution> with_short(ShortBench& bench, NodeId end) {
  Ohms& resistance = bench.circuit.resistors[bench.resistor_at.at(end)].resistance;
  const Ohms open = resistance;
  resistance = {default_figure("dead_short_ohm")};
  auto point = bench.solver.solve(bench.circuit, bench.sound);
  resistance = open;
  if (!point) return std::nullopt;
  return NetworkSolution{std::move(*point), {}, {}};
}

ShortCircuit short_at(const SizingRun& run, const LoadCase& load_case, const NetworkSolution& shorted,
                      std::size_t branch, NodeId end) {
  static const double share = design_figure("fuse_share_of_short");
  ShortCircuit found;
  found.current = {std::abs(branch_current(load_case.network, shorted, branch).si)};
  // Nothing feeds the short through this wire if the wire is on the far side of it.
  for (const PathStep& step : feed_path(load_case, shorted, end, Walk::upstream)) {
    const NetworkBranch& item = load_case.network.branches[step.branch];
    if (item.kind == BranchKind::fuse && !found.fuse && step.current.si > share * found.current.si)
      found.fuse = find_device(*run.graft, item.subject);
    if (item.kind == BranchKind::pin) found.from_pin = true;
  }
  return found;
}

// The larger of the shorts at either end of the wire.
std::optional<ShortCircuit> worst_short(const SizingRun& run, const LoadCase& load_case, ShortBench& bench,
                                        const std::string& wire) {
  const auto branch = branch_of(load_case, wire, BranchKind::wire);
  if (!load_case.solved || !branch) return std::nullopt;
  std::optional<ShortCircuit> worst;
  for (const NodeId end : {load_case.network.branches[*branch].a, load_case.network.branches[*branch].b}) {
    if (end == earth_node) continue;
    const auto shorted = with_short(bench, end);
    if (!shorted) continue;
    ShortCircuit found = short_at(run, load_case, *shorted, *branch, end);
    if (!worst || found.current > worst->current) worst = found;
  }
  return worst;
}

Amperes rating_of(const SizingRun& run, const Device& fuse) {
  return fuse.rating ? *fuse.rating : fuse_design(run, fuse).smallest;
}

Check covered_check(const std::string& wire, const Protection& protection, const Device& fuse,
                    Amperes rating) {
  const double shown = std::min(protection.margin, 1000.0);
  Check check = make_check(
      CheckKind::protection, wire_subject(wire),
      "time the wire withstands over the time that the " + print(rating) + " fuse " + fuse.id + " may take",
      {shown, 1.0, "times", false});
  check.passes = protection.covered;
  if (!protection.covered) check.margin = std::min(check.margin, -0.01);
  return check;
}

Check unfused_check(const std::string& wire, const ShortCircuit& found, Amperes steady_limit,
                    bool fed_by_pin) {
  Check check = make_check(CheckKind::protection, wire_subject(wire),
                           fed_by_pin ? "short circuit current that the module's pin gives"
                                      : "short circuit current with no fuse on the way",
                           {found.current.si, steady_limit.si, "A", true});
  check.why = {
      "short-circuit current <= current at which the conductor's steady temperature is its class temperature",
      "docs/engine-heat.md",
      {{"carries permanently", print(steady_limit), "heat balance"}}};
  return check;
}

// None if the wire is at its limit before any fault.
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

// A fuse is rated at most for what the wire carries permanently.
Check fuse_of_wire_check(const SizingRun& run, const std::string& wire, const WireProtection& protection,
                         Amperes steady_limit) {
  const double share = rule(*run.rules, "fuse_of_wire_fraction");
  Check check = make_check(CheckKind::fuse_of_wire, wire_subject(wire),
                           "rating of fuse " + protection.fuse + " against what the wire carries permanently",
                           {protection.rating.si, steady_limit.si * share, "A", true});
  check.why = {
      "rating <= share * current at which the conductor's steady temperature is its class temperature",
      rule_source(*run.rules, "fuse_of_wire_fraction"),
      {{"carries permanently", print(steady_limit), "heat balance, alone in the hottest air on its route"},
       {"share", std::to_string(share).substr(0, 4), "rule"}}};
  return check;
}

WireProtection protected_by(const SizingRun& run, const Device& fuse, const ProtectionQuestion& question) {
  const FuseFamily* named = fuse_family(fuse.model);
  WireProtection result;
  result.fuse = fuse.id;
  result.family = named ? named : fuse_family("");
  result.rating = rating_of(run, fuse);
  result.question = question;
  result.verdict = protection_of(*result.family, result.rating, question);
  return result;
}

// A wire from its source to a fuse may be without protection up to the length that the rule allows.
std::optional<Check> lead_to_fuse_check(const SizingRun& run, const Wire& wire) {
  const auto ends_at_fuse = [&](const WireEnd& end) {
    const Device* device = find_device(*run.graft, end.at);
    const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
    return kind && kind->build == DeviceBuild::fuse;
  };
  const double limit = rule(*run.rules, "fuse_from_source_mm");
  if (!wire.length || (!ends_at_fuse(wire.from) && !ends_at_fuse(wire.to))) return std::nullopt;
  if (in_millimetres(*wire.length) > limit) return std::nullopt;
  Check check = make_check(CheckKind::protection, wire_subject(wire.id),
                           "length of the lead from its source to its fuse",
                           {in_millimetres(*wire.length), limit, "mm", true});
  check.why = {"length <= the rule's", rule_source(*run.rules, "fuse_from_source_mm"), {}};
  return check;
}

Check fuse_time_check(const Wire& wire, const WireHeat& warm, const Device& fuse,
                      const WireProtection& protection, Amperes steady_limit) {
  Check check = covered_check(wire.id, protection.verdict, fuse, protection.rating);
  check.condition = "short circuit to the body at the wire's end, highest supply";
  check.assumed = insulation_of(wire).assumed || warm.air_assumed || !wire.length || !fuse.rating;
  check.why = {
      "for every current up to the dead short: longest opening time of the fuse < time of the wire to its "
      "limit",
      "ISO 8820-3 gates; IEC 60949; docs/engine-heat.md",
      {{"dead short", print(protection.question.dead_short), "network, strongest corner"},
       {"worst current", print(protection.verdict.worst_current), "smallest margin"},
       {"fuse opens within", print(protection.verdict.fuse_time), "gates of its family"},
       {"wire withstands", print(protection.verdict.wire_time), "heat balance in time"},
       {"carries permanently", print(steady_limit), "heat balance"},
       {"verdict", protection.verdict.reason, "comparison of the two curves"}}};
  return check;
}

FuseProtection fuse_protection(const SizingRun& run, const Wire& wire, const WireHeat& warm,
                               const std::optional<ShortCircuit>& found) {
  FuseProtection fused;
  const auto lead = lead_to_fuse_check(run, wire);
  if (lead) fused.checks.push_back(*lead);
  if (!found || found->current.si < design_figure("judged_current_a")) return fused;
  const auto question = question_of(wire, warm, *found, run.sizes.at(wire.id));
  if (!question) return fused;
  if (found->fuse) fused.protection = protected_by(run, *found->fuse, *question);
  if (lead) return fused;
  const Amperes steady_limit = steady_current(question->wire, question->limits.life, question->around);
  // What the pin of a module gives at most does not hurt the wire: no fuse has to open.
  const bool limited = found->from_pin && found->current <= steady_limit;
  if (!fused.protection || !found->fuse || limited) {
    if (limited) fused.protection.reset();
    fused.checks.push_back(unfused_check(wire.id, *found, steady_limit, found->from_pin));
    return fused;
  }
  fused.checks.push_back(fuse_time_check(wire, warm, *found->fuse, *fused.protection, steady_limit));
  fused.checks.push_back(fuse_of_wire_check(run, wire.id, *fused.protection, steady_limit));
  return fused;
}

}  // namespace

FuseProtections fuse_protections(const SizingRun& run, const std::set<std::string>& wires,
                                 const LoomHeat& heat) {
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  const std::vector<std::string> ids(wires.begin(), wires.end());
  std::vector<std::optional<FuseProtection>> found(ids.size());
  // Each bench serves many wires: making one costs more than most shorts.
  const std::size_t benches = std::min(ids.size(), cores());
  parallel_for(benches, [&](std::size_t number) {
    ShortBench bench = short_bench(load_case, wires);
    for (std::size_t k = number; k < ids.size(); k += benches) {
      const Wire* wire = planned_wire(run, ids[k]);
      const auto warm = heat.find(ids[k]);
      if (!wire || warm == heat.end()) continue;
      found[k] = fuse_protection(run, *wire, warm->second, worst_short(run, load_case, bench, ids[k]));
    }
  });
  FuseProtections fuse_protections;
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (found[k]) fuse_protections.emplace(ids[k], std::move(*found[k]));
  }
  return fuse_protections;
}

}  // namespace loomgraft::design
