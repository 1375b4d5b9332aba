// What the faults that were confirmed in recorded grafts say of the next one.
//
// Model   a confirmed repair is a tick with the subject "fault:KIND:ID". Counts of kinds are added to the
//         table of odds as to a Dirichlet distribution: the table weighs as much as data/find_odds.csv says.
//         Within a kind the odds of single faults keep their proportions.
// Needs   subjects of ticks that stand (done), one list a graft; others are passed over
// Gives   odds that sum to one, and in words what the counts changed
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "network/faults.h"

namespace loomgraft {

// How often each kind of fault was found in recorded grafts.
struct FaultCounts {
  std::map<std::string, int> found;  // by name_of(FaultKind)
  int grafts = 0;                    // in which a fault was confirmed
};

// The subject of the tick that confirms a fault.
std::string confirmed_subject(const Fault& fault);

FaultCounts count_faults(const std::vector<std::vector<std::string>>& done_subjects);

struct LearntOdds {
  std::vector<double> odds;        // by fault, together 1
  std::vector<std::string> text;   // a sentence for each kind whose odds changed
};
LearntOdds learnt_odds(const std::vector<Fault>& faults, const std::optional<FaultCounts>& counts);

}  // namespace loomgraft
