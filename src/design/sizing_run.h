// The planned loom, built once as networks in each condition and corner, with wire sizes that change in
// place.
//
// Model   a run is one network with its solution. Conditions: "everything on" (key on, every contact closed,
//         every output driven), "switches open" (the same with the contacts of altered circuits open),
//         "at rest" (key on, nothing driven, contacts at rest) and those the job names
// Cost    a change of size is one multiplication a run; solving is what costs
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
#include "standards/pin_states.h"
#include "standards/wire_sizes.h"

namespace loomgraft::design {

enum class TrialState { everything_on, switches_open, at_rest, named };

// Where things are among a network's branches.
struct TrialIndex {
  std::vector<std::optional<std::size_t>> wire_branches;               // by Trial::planned
  std::unordered_map<std::string, std::vector<std::size_t>> branches;  // of a subject
  std::vector<std::vector<std::size_t>> at_node;                       // branches that end there
};

struct TrialRun {
  TrialState state = TrialState::everything_on;
  Condition condition;
  Corner corner = Corner::nominal;
  LoomNetwork network;
  NetworkSolution solution;
  std::shared_ptr<Solver> solver;  // the same for both corners of a condition: they are of one shape
  bool solved = false;
  bool stale = true;                        // a size has changed since it was solved
  std::shared_ptr<const TrialIndex> index;  // the same too where the shape is
};

struct Trial {
  const Graft* graft = nullptr;  // the planned loom with every size stated
  const AlteredLoom* loom = nullptr;
  const RuleBook* rules = nullptr;
  std::vector<Wire> planned;              // every wire of the planned loom, by id
  std::map<std::string, WireSize> sizes;  // of the altered wires, by id
  std::vector<TrialRun> runs;
  Problems problems;
};

// `graft` must state a size for each added wire (with_sizes()), and outlive the trial.
Trial trial_of(const Graft& graft, const AlteredLoom& loom, const RuleBook& rules);

// A copy of the graft whose added wires have these sizes where the plan states none.
Graft with_sizes(const Graft& graft, const std::map<std::string, WireSize>& sizes);

void set_size(Trial& trial, const std::string& wire, const WireSize& size);
// Solves every run that a change of size has made stale; what cannot be solved leaves its run unsolved with a Problem.
void solve_all(Trial& trial);
// Of these only the runs in which wires carry most: everything on, and the conditions that the job names.
void solve_loaded(Trial& trial);

// What a trial was at some moment, to go back to without solving again.
struct TrialMemory {
  struct Run {
    std::vector<Resistor> resistors;
    NetworkSolution solution;
    bool solved = false;
    bool stale = true;
  };
  std::map<std::string, WireSize> sizes;
  std::vector<Run> runs;
};
TrialMemory memory_of(const Trial& trial);
void go_back(Trial& trial, TrialMemory&& memory);

// The run of a state and corner. Needs that it exists.
const TrialRun& run_of(const Trial& trial, TrialState state, Corner corner);

SystemVolts system_of(const Trial& trial);
const Wire* planned_wire(const Trial& trial, const std::string& id);

// The greatest current of each planned wire over all solved runs, in either direction, by Trial::planned.
std::vector<Amperes> greatest_currents(const Trial& trial);

std::optional<std::size_t> branch_of(const TrialRun& run, const std::string& subject, BranchKind kind);
Volts volts_at(const TrialRun& run, NodeId node);

}  // namespace loomgraft::design
