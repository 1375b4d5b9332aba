// The fuses that a short circuit in a wire would blow, against that wire: every one by which the short is fed, from either
// end. And the wires ahead of a fuse, which must carry for good what that fuse lets through for good.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "base/parallel.h"
#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "design/short_circuits.h"
#include "heat/protection.h"
#include "loom/part_text.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

Check unfused_check(const std::string& wire, const WireShort& found, Amperes steady_limit) {
  const Amperes unfused = found.fuse ? found.current : Amperes{found.current.si * found.share};
  const char* text = found.from_pin ? "short circuit current that the module's pin gives"
                     : found.fuse   ? "short circuit current that the rest of the circuit lets through"
                                    : "short circuit current with no fuse on the way";
  Check check =
      make_check(CheckKind::protection, wire_subject(wire), text, {unfused.si, steady_limit.si, "A", true});
  check.condition = "short circuit, highest supply";
  check.why = {
      "short-circuit current <= current at which the conductor's steady temperature is its class temperature",
      "docs/engine-heat.md",
      {{"carries permanently", print(steady_limit), "heat balance"}}};
  return check;
}

// One wire with what it carries for good in the hottest air on its way.
struct WireCase {
  const SizingRun& run;
  const Wire& wire;
  const WireHeat& warm;
  ThermalWire thermal;
  WireLimits limits;
  Amperes steady;
  bool assumed = false;
};

std::string fuse_text(const WireCase& item, const std::string& id) {
  const Device* fuse = find_device(*item.run.graft, id);
  return fuse ? loomgraft::fuse_text(*fuse) : "fuse " + id;
}

Check covered_check(const WireCase& item, const WireProtection& protection) {
  const double shown = std::min(protection.verdict.margin, 1000.0);
  Check check = make_check(CheckKind::protection, wire_subject(item.wire.id),
                           "time the wire withstands over the time that the " + print(protection.rating) +
                               " of " + fuse_text(item, protection.fuse) + " may take",
                           {shown, 1.0, "times", false});
  check.passes = protection.verdict.covered;
  if (!check.passes) check.margin = std::min(check.margin, -0.01);
  return check;
}

// None where the air alone is too hot. A wire at its limit before any fault is judged as if it were just below it.
std::optional<WireCase> wire_case(const SizingRun& run, const Wire& wire, const WireHeat& warm) {
  const ChosenInsulation chosen = insulation_of(wire);
  const Insulation& insulation = *chosen.insulation;
  if (warm.air >= insulation.highest) return std::nullopt;
  WireCase item{run, wire, warm, thermal_wire(run.sizes.at(wire.id), insulation), {}, {}};
  item.limits = {insulation.highest, insulation.short_circuit};
  item.steady = steady_current(item.thermal, insulation.highest, {warm.air});
  item.assumed = chosen.assumed || warm.air_assumed;
  return item;
}

// A fuse that carries only a part of the wire's short is as slow as a larger one that carries all of it.
WireProtection protected_by(const WireCase& item, const WireShort& found) {
  const FusePart part = fuse_part(item.run, *found.fuse);
  WireProtection result;
  result.fuse = found.fuse->id;
  result.family = part.family;
  result.rating = part.rating;
  result.share = found.share;
  constexpr double below = 0.1;  // K
  const bool too_hot = item.warm.runs_away || item.warm.conductor >= item.limits.life;
  const Celsius start = too_hot ? Celsius{item.limits.life.degrees - below} : item.warm.conductor;
  result.question = {item.thermal, item.limits, start, {item.warm.air}, found.current};
  result.verdict = protection_of(*part.family, {part.rating.si / found.share}, result.question);
  return result;
}

std::string family_source(const FuseFamily& family) {
  std::string text = "gates of a " + family.name + " (";
  text += is_looked_up(family) ? "looked up" : "from memory";
  return text + ", data/fuse_gates.csv); IEC 60949; docs/engine-heat.md";
}

std::string share_text(double share) {
  return std::to_string(share * 100.0).substr(0, 4) + " %";
}

Check fuse_time_check(const WireCase& item, const WireShort& found, const WireProtection& protection) {
  Check check = covered_check(item, protection);
  check.condition = "short circuit, highest supply";
  const bool unsure = fuse_part(item.run, *found.fuse).family_assumed || !is_looked_up(*protection.family);
  check.assumed = item.assumed || !item.wire.length || !found.fuse->rating || unsure;
  check.why = {
      "for every current up to the dead short: longest opening time of the fuse < time of the wire to its "
      "limit",
      family_source(*protection.family),
      {{"dead short", print(protection.question.dead_short), "network, strongest corner"},
       {"through this fuse", share_text(found.share), "network: the rest comes another way"},
       {"worst current", print(protection.verdict.worst_current), "smallest margin"},
       {"fuse opens within", print(protection.verdict.fuse_time), "gates of its family"},
       {"wire withstands", print(protection.verdict.wire_time), "heat balance in time"},
       {"carries permanently", print(item.steady), "heat balance"},
       {"verdict", protection.verdict.reason, "comparison of the two curves"}}};
  return check;
}

// A fuse is rated at most for what the wire carries permanently.
Check fuse_of_wire_check(const WireCase& item, const WireShort& found, const WireProtection& protection) {
  const double share = rule(*item.run.rules, "fuse_of_wire_fraction");
  Check check = make_check(
      CheckKind::fuse_of_wire, wire_subject(item.wire.id),
      "rating of " + fuse_text(item, protection.fuse) + " against what the wire carries permanently",
      {protection.rating.si, item.steady.si * share / found.share, "A", true});
  check.assumed = item.assumed || !found.fuse->rating;
  check.why = {
      "rating <= share * current at which the conductor's steady temperature is its class temperature",
      rule_source(*item.run.rules, "fuse_of_wire_fraction"),
      {{"carries permanently", print(item.steady), "heat balance, alone in the hottest air on its route"},
       {"share", std::to_string(share).substr(0, 4), "rule"}}};
  return check;
}

// A lead may be without protection up to the length that the rule allows.
std::optional<Check> lead_length_check(const SizingRun& run, const Wire& wire) {
  const double limit = rule(*run.rules, "fuse_from_source_mm");
  if (!wire.length || !(wire.length->si > 0.0) || in_millimetres(*wire.length) > limit) return std::nullopt;
  Check check = make_check(CheckKind::protection, wire_subject(wire.id),
                           "length of the lead from its source to its fuse",
                           {in_millimetres(*wire.length), limit, "mm", true});
  check.why = {"length <= the rule's", rule_source(*run.rules, "fuse_from_source_mm"), {}};
  return check;
}

// ---- leads: wires ahead of fuses
// The fuses that a wire meets at one end, over joints, plugs and closed contacts, and whether it meets a battery or the body.
struct Behind {
  std::vector<const Device*> fuses;
  bool reaches_source = false;
};

Behind behind(const SizingRun& run, const LoadCase& load_case, std::size_t wire, NodeId end) {
  Behind found;
  std::set<std::uint32_t> seen;
  std::vector<NodeId> open{end};
  while (!open.empty()) {
    const NodeId node = open.back();
    open.pop_back();
    if (node == earth_node) found.reaches_source = true;
    if (node == earth_node || !seen.insert(node.value).second) continue;
    for (const std::size_t index : load_case.index->at_node[node.value]) {
      const NetworkBranch& branch = load_case.network.branches[index];
      if (index == wire) continue;
      if (branch.kind == BranchKind::supply) found.reaches_source = true;
      if (branch.kind == BranchKind::fuse) {
        const Device* fuse = find_device(*run.graft, branch.subject);
        if (fuse && std::ranges::find(found.fuses, fuse) == found.fuses.end()) found.fuses.push_back(fuse);
      }
      const bool on = branch.kind == BranchKind::contacts || is_conductor(branch.kind);
      if (on && branch.kind != BranchKind::fuse) open.push_back(branch.a == node ? branch.b : branch.a);
    }
  }
  return found;
}

struct LeadNeed {
  Amperes amperes;
  const Device* fuse = nullptr;
  FusePart part;
};

// One of the fuses at what it lets through for good, the others at their load.
std::optional<LeadNeed> lead_need(const WireCase& item, const Behind& found) {
  std::optional<LeadNeed> most;
  for (const Device* fuse : found.fuses) {
    const FusePart part = fuse_part(item.run, *fuse);
    const double load = fuse_design(item.run, *fuse).load.si;
    const double others = std::max(0.0, item.warm.current.si - load);
    const Amperes need{carried_for_good(*part.family, part.rating).si +
                       (found.fuses.size() > 1 ? others : 0.0)};
    if (!most || need > most->amperes) most = LeadNeed{need, fuse, part};
  }
  return most;
}

// An end of a wire with fuses at it, and the shorts that come from the other end.
struct LeadSide {
  Behind behind;
  std::vector<const WireShort*> ahead;
};

// What flows for good is bounded by a single fuse ahead of the wire too.
std::optional<Amperes> bound_ahead(const WireCase& item, const LeadSide& side) {
  if (side.ahead.size() != 1 || !side.ahead[0]->fuse) return std::nullopt;
  const FusePart part = fuse_part(item.run, *side.ahead[0]->fuse);
  return Amperes{carried_for_good(*part.family, part.rating).si / side.ahead[0]->share};
}

std::optional<Check> lead_check(const WireCase& item, const LeadSide& side) {
  const auto most = lead_need(item, side.behind);
  if (!most) return std::nullopt;
  const LeadNeed& need = *most;
  const auto ahead = bound_ahead(item, side);
  const Amperes needed = ahead ? std::min(*ahead, need.amperes) : need.amperes;
  Check check =
      make_check(CheckKind::lead_current, wire_subject(item.wire.id),
                 "what the lead carries permanently, against what " + fuse_text(item, need.fuse->id) + " (" +
                     print(need.part.rating) + ") lets through for good",
                 {item.steady.si, needed.si, "A", false});
  check.condition = "overload that the fuse need never interrupt";
  check.assumed = item.assumed || need.part.family_assumed || !need.fuse->rating;
  check.why = {
      "current at which the conductor's steady temperature is its class temperature >= rating * first gate",
      family_source(*need.part.family),
      {{"rating", print(need.part.rating), need.fuse->rating ? "stated" : "the smallest that carries it"},
       {"lets through for good", print(carried_for_good(*need.part.family, need.part.rating)),
        "first gate of its family"},
       {"carries permanently", print(item.steady), "heat balance, alone in the hottest air on its route"}}};
  return check;
}

std::vector<LeadSide> lead_sides(const WireCase& item, const LoadCase& load_case,
                                 const std::vector<WireShort>& shorts) {
  std::vector<LeadSide> sides;
  const auto branch = branch_of(load_case, item.wire.id, BranchKind::wire);
  if (!branch) return sides;
  const NetworkBranch& wire = load_case.network.branches[*branch];
  for (const NodeId end : {wire.a, wire.b}) {
    LeadSide side{behind(item.run, load_case, *branch, end), {}};
    if (side.behind.reaches_source || side.behind.fuses.empty()) continue;
    for (const WireShort& found : shorts) {
      if (std::ranges::find(side.behind.fuses, found.fuse) == side.behind.fuses.end())
        side.ahead.push_back(&found);
    }
    if (!side.ahead.empty()) sides.push_back(std::move(side));
  }
  return sides;
}

void judge_short(const WireCase& item, const WireShort& found, FuseProtection& fused) {
  if (!found.fuse || found.current <= item.steady) {
    fused.checks.push_back(unfused_check(item.wire.id, found, item.steady));
    return;
  }
  const WireProtection protection = protected_by(item, found);
  fused.checks.push_back(fuse_time_check(item, found, protection));
  fused.checks.push_back(fuse_of_wire_check(item, found, protection));
  const bool worse = !fused.protection || protection.verdict.margin < fused.protection->verdict.margin;
  if (worse) fused.protection = protection;
}

// One check of each kind: the worst.
void keep_worst_of_kinds(FuseProtection& fused) {
  std::vector<Check> kept;
  for (Check& check : fused.checks) {
    const auto known = std::ranges::find(kept, check.kind, &Check::kind);
    if (known == kept.end()) {
      kept.push_back(std::move(check));
    } else if (std::pair(check.passes, check.margin) < std::pair(known->passes, known->margin)) {
      *known = std::move(check);
    }
  }
  fused.checks = std::move(kept);
}

bool comes_ahead(const std::vector<LeadSide>& sides, const WireShort& found) {
  return std::ranges::any_of(
      sides, [&](const LeadSide& side) { return std::ranges::find(side.ahead, &found) != side.ahead.end(); });
}

// A lead that nothing ahead of it protects in time may be so short that the rule lets it be.
void judge_lead_short(const WireCase& item, const WireShort& found, FuseProtection& fused) {
  const auto length = lead_length_check(item.run, item.wire);
  FuseProtection judged;
  judge_short(item, found, judged);
  if (length && !std::ranges::all_of(judged.checks, &Check::passes)) judged.checks = {*length};
  std::ranges::move(judged.checks, std::back_inserter(fused.checks));
  if (judged.protection && !fused.protection) fused.protection = std::move(judged.protection);
}

FuseProtection fuse_protection(const WireCase& item, const LoadCase& load_case,
                               const std::vector<WireShort>& shorts) {
  FuseProtection fused;
  const std::vector<LeadSide> sides = lead_sides(item, load_case, shorts);
  for (const WireShort& found : shorts) {
    if (comes_ahead(sides, found)) {
      judge_lead_short(item, found, fused);
    } else {
      judge_short(item, found, fused);
    }
  }
  for (const LeadSide& side : sides) {
    if (auto check = lead_check(item, side)) fused.checks.push_back(std::move(*check));
  }
  keep_worst_of_kinds(fused);
  return fused;
}

}  // namespace

FuseProtections fuse_protections(const SizingRun& run, const std::set<std::string>& wires,
                                 const LoomHeat& heat) {
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  ShortCircuits shorts = short_circuits(run, wires);
  FuseProtections fuse_protections;
  fuse_protections.through_fuse = std::move(shorts.through_fuse);
  std::vector<const std::pair<const std::string, std::vector<WireShort>>*> found;
  for (const auto& of_wire : shorts.of_wire) found.push_back(&of_wire);
  std::vector<std::optional<FuseProtection>> judged(found.size());
  parallel_for(found.size(), [&](std::size_t k) {
    const Wire* wire = planned_wire(run, found[k]->first);
    const auto warm = heat.find(found[k]->first);
    if (!wire || warm == heat.end()) return;
    const auto item = wire_case(run, *wire, warm->second);
    if (item) judged[k] = fuse_protection(*item, load_case, found[k]->second);
  });
  for (std::size_t k = 0; k < found.size(); ++k) {
    if (judged[k]) fuse_protections.of_wire.emplace(found[k]->first, std::move(*judged[k]));
  }
  return fuse_protections;
}

}  // namespace loomgraft::design
