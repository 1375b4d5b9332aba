// The planned loom in all load cases while its wires are sized: one network for each condition and corner, built once,
// with wire sizes that change in place.
//
// Model   a load case is one network with its solution. Conditions: "everything on" (key on, every contact
//         closed, every output driven), "switches open" (the same with the contacts of altered circuits open),
//         "at rest" (key on, nothing driven, contacts at rest) and those the job names, at both corners. "Engine running":
//         everything on at the highest charging volts with the resistances of the weakest corner, where a mechanic measures
//         the largest drops. Where another source than the first battery is wired: "charging", every alternator at its full
//         current into a flat battery, and for each further battery "charging a flat ...". "Cranking": everything on at the
//         lowest volts while the starter turns
// Cost    a change of size is one multiplication per load case; solving dominates
#pragma once

#include <map>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "design/altered.h"
#include "design/rule_book.h"
#include "loom/graft.h"
#include "network/loom_network.h"
#include "standards/fuses.h"
#include "standards/pin_states.h"
#include "standards/wire_sizes.h"

namespace loomgraft::design {

enum class LoadCaseKind {
  everything_on,
  switches_open,
  at_rest,
  named,
  running,
  charging,
  flat_battery,
  cranking
};

// Branches of a network by wire, by subject and by node.
struct BranchIndex {
  std::vector<std::optional<std::size_t>> wire_branches;               // by index in SizingRun::planned
  std::unordered_map<std::string, std::vector<std::size_t>> branches;  // of a subject
  std::vector<std::vector<std::size_t>> at_node;                       // branches that end there
};

struct LoadCase {
  LoadCaseKind kind = LoadCaseKind::everything_on;
  Condition condition;
  Corner corner = Corner::nominal;
  LoomNetwork network;
  NetworkSolution solution;
  std::shared_ptr<Solver> solver;  // shared by both corners of a condition: their matrices have one pattern
  bool solved = false;
  bool stale = true;                         // a size has changed since it was solved
  std::shared_ptr<const BranchIndex> index;  // shared too if the networks are alike
};

struct HeatPlan;  // of loom_heat.cpp

struct SizingRun {
  const Graft* graft = nullptr;  // the planned loom with every size stated
  const AlteredLoom* loom = nullptr;
  const RuleBook* rules = nullptr;
  std::shared_ptr<const LoomFrame> frame;   // of the planned loom
  std::vector<Wire> planned;                // every wire of the planned loom, by id
  std::map<std::string, WireSize> sizes;    // of the altered wires, by id
  std::map<std::string, FuseChoice> fuses;  // chosen for the fuses without a rating
  std::vector<LoadCase> load_cases;
  Problems problems;
  std::shared_ptr<const HeatPlan> heat_plan;  // bundles and airs of the wires
};

// `graft` must state a size for each added wire (with_sizes()), and outlive the sizing run.
SizingRun sizing_run_of(const Graft& graft, const AlteredLoom& loom, const RuleBook& rules);

// A copy of the graft whose added wires have these sizes where the plan states none.
Graft with_sizes(const Graft& graft, const std::map<std::string, WireSize>& sizes);

void set_size(SizingRun& run, const std::string& wire, const WireSize& size);
// Gives a fuse without a rating the resistance of the one chosen for it.
void set_fuse(SizingRun& run, const std::string& fuse, const FuseChoice& choice);
// Solves every load case that a change of size has made stale; one that cannot be solved stays unsolved, with a Problem.
void solve_all(SizingRun& run);
// Of these only the load cases in which wires carry most or lose most: not switches open, at rest, cranking.
void solve_loaded(SizingRun& run);

// The same loom and sizes with everything on and the battery reversed, with a diode across each coil that has one for its
// suppression: a single load case, solved. `volts` > 0.
SizingRun reversed_run(const SizingRun& run, Volts volts);
// The load cases everything on and engine running, unsolved, with every assumed figure at the other end of its spread.
SizingRun turned_run(const SizingRun& run);
// The same nodes and branches, with other values.
bool are_alike(const LoomNetwork& one, const LoomNetwork& other);

// The sizes and solutions of a sizing run at one moment, to return to without solving again.
struct SizingSnapshot {
  struct Values {
    std::vector<Resistor> resistors;
    NetworkSolution solution;
    bool solved = false;
    bool stale = true;
  };
  std::map<std::string, WireSize> sizes;
  std::vector<Values> load_cases;
};
SizingSnapshot snapshot_of(const SizingRun& run);
void restore(SizingRun& run, SizingSnapshot&& snapshot);

// Needs that there is such a load case: everything on, switches open and at rest have both corners, running the weakest.
const LoadCase& load_case_of(const SizingRun& run, LoadCaseKind kind, Corner corner);

SystemVolts system_of(const SizingRun& run);
const Wire* planned_wire(const SizingRun& run, const std::string& id);

// The largest current of each planned wire over all solved load cases, in either direction, by index in `planned`.
std::vector<Amperes> greatest_currents(const SizingRun& run);

std::optional<std::size_t> branch_of(const LoadCase& load_case, const std::string& subject, BranchKind kind);
Volts volts_at(const LoadCase& load_case, NodeId node);

}  // namespace loomgraft::design
