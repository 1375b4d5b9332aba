// Fuses against their load.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
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

const FuseFamily& family_of(const Device& fuse) {
  const FuseFamily* named = fuse_family(fuse.model);
  return named ? *named : *fuse_family("");
}

void note_fuses(const SizingRun& run, const LoadCase& load_case, NodeId from,
                std::vector<const Device*>& fuses) {
  for (const PathStep& step : feed_path(load_case, from, Walk::upstream)) {
    const NetworkBranch& branch = load_case.network.branches[step.branch];
    if (branch.kind != BranchKind::fuse) continue;
    const Device* fuse = find_device(*run.graft, branch.subject);
    if (fuse && std::find(fuses.begin(), fuses.end(), fuse) == fuses.end()) fuses.push_back(fuse);
  }
}

}  // namespace

FuseDesign fuse_design(const SizingRun& run, const Device& fuse) {
  FuseDesign result;
  result.device = fuse.id;
  result.stated = fuse.rating;
  result.load = load_of(run, fuse).current;
  const double needed = result.load.si / rule(*run.rules, "fuse_load_fraction");
  const FuseFamily& family = family_of(fuse);
  result.smallest = family.ratings.back().rating;
  for (const FuseRating& rating : family.ratings) {
    if (rating.rating.si < needed) continue;
    result.smallest = rating.rating;
    break;
  }
  return result;
}

std::optional<Check> fuse_load_check(const SizingRun& run, const Device& fuse) {
  const FuseLoad load = load_of(run, fuse);
  const FuseDesign chosen = fuse_design(run, fuse);
  const Amperes rating = fuse.rating.value_or(chosen.smallest);
  const double share = rule(*run.rules, "fuse_load_fraction");
  Check check = make_check(CheckKind::fuse_load, device_subject(fuse.id),
                           "load against what the fuse carries permanently",
                           {load.current.si, rating.si * share, "A", true});
  check.condition = load.condition;
  check.why = {"load <= rating * share",
               rule_source(*run.rules, "fuse_load_fraction"),
               {{"rating", print(rating), fuse.rating ? "stated" : "the smallest that carries it"},
                {"share", std::to_string(share).substr(0, 4), "rule"}}};
  return check;
}

std::vector<const Device*> fuses_of(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<const Device*> fuses;
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  if (!load_case.solved) return fuses;
  for (const std::string& wire : circuit.wires) {
    const auto branch = branch_of(load_case, wire, BranchKind::wire);
    if (!branch) continue;
    for (const NodeId end : {load_case.network.branches[*branch].a, load_case.network.branches[*branch].b}) {
      if (end != earth_node) note_fuses(run, load_case, end, fuses);
    }
  }
  return fuses;
}

}  // namespace loomgraft::design
