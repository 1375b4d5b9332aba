// Fuses against their load, and against the short that they must interrupt.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct FuseLoad {
  Amperes current;
  std::string condition;
};

FuseLoad load_of(const SizingRun& run, const Device& fuse) {
  FuseLoad load;
  for (const LoadCase& load_case : run.load_cases) {
    const auto branch = branch_of(load_case, fuse.id, BranchKind::fuse);
    if (!branch || !load_case.solved) continue;
    const Amperes current{std::abs(branch_current(load_case.network, load_case.solution, *branch).si)};
    if (current > load.current) load = {current, text_of(load_case)};
  }
  return load;
}

// The share of its rating that a fuse keeps in the hottest air at its place; never more than all of it.
void note_fuses(const SizingRun& run, const LoadCase& load_case, NodeId from,
                std::vector<const Device*>& fuses) {
  for (const PathStep& step : feed_path(load_case, from, Walk::upstream)) {
    const NetworkBranch& branch = load_case.network.branches[step.branch];
    if (branch.kind != BranchKind::fuse) continue;
    const Device* fuse = find_device(*run.graft, branch.subject);
    if (fuse && std::find(fuses.begin(), fuses.end(), fuse) == fuses.end()) fuses.push_back(fuse);
  }
}

// No family makes a fuse for it: it is judged against the largest there is.
FuseChoice largest_fuse() {
  FuseChoice largest;
  for (const FuseFamily& family : fuse_families()) {
    if (family.offered && (!largest.family || family.ratings.back().rating > largest.rating))
      largest = {&family, family.ratings.back().rating};
  }
  return largest;
}

std::string family_text(const FusePart& part) {
  return part.family->name + (part.family_assumed ? ", not stated" : "");
}

}  // namespace

double kept_when_hot(const HottestAir& air) {
  const double above = air.air.degrees - design_figure("fuse_rated_at_c");
  return std::clamp(1.0 - design_figure("fuse_derating_per_c") * above, 0.1, 1.0);
}

bool is_fuse(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind && kind->build == DeviceBuild::fuse;
}

bool is_link(const Device& fuse) {
  return fuse.kind == "fusible_link";
}

FuseDesign fuse_design(const SizingRun& run, const Device& fuse) {
  FuseDesign result;
  result.device = fuse.id;
  result.stated = fuse.rating;
  result.load = load_of(run, fuse).current;
  const double share = rule(*run.rules, "fuse_load_fraction");
  result.needed = {result.load.si / (share * kept_when_hot(air_at_device(*run.graft, fuse)))};
  const FamilyOfFuse own = family_of_fuse(fuse.model, is_link(fuse), fuse.rating);
  result.family = own.family;
  result.family_assumed = own.assumed;
  if (const auto choice = smallest_fuse(*own.family, result.needed)) {
    result.smallest = choice->rating;
    if (!fuse.rating) result.family = choice->family;
  }
  return result;
}

FusePart fuse_part(const SizingRun& run, const Device& fuse) {
  if (fuse.rating) {
    const FamilyOfFuse own = family_of_fuse(fuse.model, is_link(fuse), fuse.rating);
    return {own.family, *fuse.rating, own.assumed};
  }
  const auto chosen = run.fuses.find(fuse.id);
  if (chosen != run.fuses.end()) return {chosen->second.family, chosen->second.rating, fuse.model.empty()};
  const FuseDesign design = fuse_design(run, fuse);
  const FuseChoice choice = design.smallest ? FuseChoice{design.family, *design.smallest} : largest_fuse();
  return {choice.family, choice.rating, fuse.model.empty()};
}

std::optional<Check> fuse_load_check(const SizingRun& run, const Device& fuse) {
  const FuseLoad load = load_of(run, fuse);
  const FusePart part = fuse_part(run, fuse);
  const HottestAir air = air_at_device(*run.graft, fuse);
  const double share = rule(*run.rules, "fuse_load_fraction");
  const double kept = kept_when_hot(air);
  Check check = make_check(CheckKind::fuse_load, device_subject(fuse.id),
                           "load against what the fuse carries permanently where it sits",
                           {load.current.si, part.rating.si * share * kept, "A", true});
  check.condition = load.condition;
  check.assumed = air.assumed || !fuse.rating;
  // Where nobody says how hot its place gets, it fails only if it would in the cold as well.
  check.judged = check.passes || !air.assumed || load.current.si > part.rating.si * share;
  if (!fuse.rating && !fuse_design(run, fuse).smallest) check.text = "load that no fuse on sale carries";
  check.why = {"load <= rating * share * (1 - loss per degree * (air - temperature of the rating))",
               rule_source(*run.rules, "fuse_load_fraction"),
               {{"rating", print(part.rating), fuse.rating ? "stated" : "the smallest that carries it"},
                {"family", family_text(part), "data/fuse_families.csv"},
                {"share", std::to_string(share).substr(0, 4), "rule"},
                {"kept when hot", std::to_string(kept).substr(0, 4), "data/design_figures.csv"},
                {"air", print(air.air), air.assumed ? "default value; no place is stated" : "its place"}}};
  return check;
}

std::optional<Check> fuse_breaking_check(const SizingRun& run, const Device& fuse, Amperes dead_short) {
  const FusePart part = fuse_part(run, fuse);
  if (dead_short < part.rating) return std::nullopt;
  const Amperes breaking = part.family->breaking.value_or(Amperes{});
  // A short takes the battery below the volts at which it is charged: it feeds it from its volts at rest.
  const SystemVolts system = system_of(run);
  const double at_rest =
      network_figure("resting_v", system).high() / network_figure("working_v", system).high();
  const double current = dead_short.si * at_rest;
  Check check =
      make_check(CheckKind::fuse_breaking, device_subject(fuse.id),
                 "short behind the fuse against what it interrupts", {current, breaking.si, "A", true});
  check.condition = "dead short, highest supply and coldest copper";
  check.assumed = part.family_assumed || part.family->breaking_status != "looked up";
  // A battery whose resistance nobody has stated may give half of that.
  const bool battery_known = std::ranges::any_of(run.graft->devices, [](const Device& device) {
    return device.kind == "battery" && device.resistance.has_value();
  });
  check.judged =
      part.family->breaking.has_value() && (check.passes || battery_known || current > 2.0 * breaking.si);
  check.why = {"greatest current through the fuse in any short <= breaking capacity of its family",
               part.family->breaking
                   ? part.family->breaking_source + " (" + part.family->breaking_status + ")"
                   : "nobody says what a " + part.family->name + " interrupts",
               {{"family", family_text(part), "data/fuse_families.csv"},
                {"short", print(Amperes{current}), "solved network, battery at its volts at rest"}}};
  return check;
}

std::vector<const Device*> fuses_of(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<const Device*> fuses;
  for (const LoadCaseKind kind : {LoadCaseKind::everything_on, LoadCaseKind::charging}) {
    for (const LoadCase& load_case : run.load_cases) {
      const bool wanted =
          load_case.kind == kind && (kind == LoadCaseKind::charging || load_case.corner == Corner::strongest);
      if (!wanted || !load_case.solved) continue;
      for (const std::string& wire : circuit.wires) {
        const auto branch = branch_of(load_case, wire, BranchKind::wire);
        if (!branch) continue;
        const NetworkBranch& item = load_case.network.branches[*branch];
        for (const NodeId end : {item.a, item.b}) {
          if (end != earth_node) note_fuses(run, load_case, end, fuses);
        }
      }
    }
  }
  // A fuse whose wires the plan adds is one of this circuit's, whatever flows.
  for (const std::string& id : circuit.wires) {
    const Wire* wire = planned_wire(run, id);
    for (const WireEnd& end : wire ? std::vector{wire->from, wire->to} : std::vector<WireEnd>{}) {
      const Device* device = find_device(*run.graft, end.at);
      if (device && is_fuse(*device) && std::ranges::find(fuses, device) == fuses.end())
        fuses.push_back(device);
    }
  }
  return fuses;
}

}  // namespace loomgraft::design
