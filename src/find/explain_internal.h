// Why a fault is in or out, and what a test's outcomes would mean, in words. Only find needs this.
#pragma once

#include <string>
#include <vector>

#include "find/odds_internal.h"

namespace loomgraft::find {

// A word for each likely fault, likeliest first, then for those that the readings exclude.
// `priors` by fault.
std::vector<FaultNote> fault_words(const Proof& proof, const std::vector<Observed>& observed,
                                   const std::vector<Suspicion>& suspicions,
                                   const std::vector<double>& priors);

// "a sound loom shows below 0.5 ohm; over range: reseat the terminal in C1 3"
std::string outcome_words(const Proof& proof, const std::vector<Suspicion>& suspicions, std::size_t test);

// "remake C1 3; and turn C2 round" for a suspicion; "nothing is wrong" for none.
std::string mending_words(const Proof& proof, const Suspicion& suspicion);

}  // namespace loomgraft::find
