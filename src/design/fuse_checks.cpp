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

FuseLoad load_of(const Trial& trial, const Device& fuse) {
  FuseLoad load;
  for (const TrialRun& run : trial.runs) {
    const auto branch = branch_of(run, fuse.id, BranchKind::fuse);
    if (!branch || !run.solved) continue;
    const Amperes current{std::abs(branch_current(run.network, run.solution, *branch).si)};
    if (current > load.current) load = {current, words_of(run)};
  }
  return load;
}

const FuseFamily& family_of(const Device& fuse) {
  const FuseFamily* named = fuse_family(fuse.model);
  return named ? *named : *fuse_family("");
}

void note_fuses(const Trial& trial, const TrialRun& run, NodeId from, std::vector<const Device*>& fuses) {
  for (const PathStep& step : feed_path(run, from, Walk::upstream)) {
    const NetworkBranch& branch = run.network.branches[step.branch];
    if (branch.kind != BranchKind::fuse) continue;
    const Device* fuse = find_device(*trial.graft, branch.subject);
    if (fuse && std::find(fuses.begin(), fuses.end(), fuse) == fuses.end()) fuses.push_back(fuse);
  }
}

}  // namespace

FuseDesign fuse_design(const Trial& trial, const Device& fuse) {
  FuseDesign result;
  result.device = fuse.id;
  result.stated = fuse.rating;
  result.load = load_of(trial, fuse).current;
  const double needed = result.load.si / rule(*trial.rules, "fuse_load_fraction");
  const FuseFamily& family = family_of(fuse);
  result.smallest = family.ratings.back().rating;
  for (const FuseRating& rating : family.ratings) {
    if (rating.rating.si < needed) continue;
    result.smallest = rating.rating;
    break;
  }
  return result;
}

std::optional<Check> fuse_load_check(const Trial& trial, const Device& fuse) {
  const FuseLoad load = load_of(trial, fuse);
  const FuseDesign chosen = fuse_design(trial, fuse);
  const Amperes rating = fuse.rating.value_or(chosen.smallest);
  const double share = rule(*trial.rules, "fuse_load_fraction");
  Check check = make_check(CheckKind::fuse_load, fuse.id, "load against what the fuse carries for long",
                           {load.current.si, rating.si * share, "A", true});
  check.condition = load.condition;
  check.why = {"load <= rating * share",
               rule_source(*trial.rules, "fuse_load_fraction"),
               {{"rating", print(rating), fuse.rating ? "stated" : "the smallest that carries it"},
                {"share", std::to_string(share).substr(0, 4), "rule"}}};
  return check;
}

std::vector<const Device*> fuses_of(const Trial& trial, const AlteredCircuit& circuit) {
  std::vector<const Device*> fuses;
  const TrialRun& run = run_of(trial, TrialState::everything_on, Corner::strongest);
  if (!run.solved) return fuses;
  for (const std::string& wire : circuit.wires) {
    const auto branch = branch_of(run, wire, BranchKind::wire);
    if (!branch) continue;
    for (const NodeId end : {run.network.branches[*branch].a, run.network.branches[*branch].b}) {
      if (end != earth_node) note_fuses(trial, run, end, fuses);
    }
  }
  return fuses;
}

}  // namespace loomgraft::design
