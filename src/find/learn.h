// The odds of faults after those that were confirmed in recorded grafts.
//
// Model   counts of kinds are added to the table of odds as to a Dirichlet distribution: the table weighs as
//         much as data/find_odds.csv says. Within a kind the odds of single faults keep their proportions.
// Needs   the confirmed faults of each graft (prove/confirmed_faults.h)
// Gives   odds that sum to one, and sentences that say what the counts changed
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "network/faults.h"
#include "prove/confirmed_faults.h"

namespace loomgraft {

// How often each kind of fault was found in recorded grafts.
struct FaultCounts {
  std::map<FaultKind, int> found;
  int grafts = 0;  // in which a fault was confirmed
};

// One list per graft; a fault that a graft confirms twice counts once.
FaultCounts count_faults(const std::vector<std::vector<ConfirmedFault>>& confirmed);

struct LearntOdds {
  std::vector<double> odds;       // by fault, together 1
  std::vector<std::string> text;  // a sentence for each kind whose odds changed
};
LearntOdds learnt_odds(const std::vector<Fault>& faults, const std::optional<FaultCounts>& counts);

}  // namespace loomgraft
