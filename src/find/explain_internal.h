// Why a fault is possible or excluded, and what the outcomes of a test would mean, as text. Only find/ includes this.
#pragma once

#include <string>
#include <vector>

#include "find/odds_internal.h"

namespace loomgraft::find {

// A note for each likely fault, likeliest first, then for those that the readings exclude.
// `priors` by fault.
std::vector<FaultNote> fault_notes_of(const Proof& proof, const std::vector<Observed>& observed,
                                      const std::vector<WeighedHypothesis>& hypotheses,
                                      const std::vector<double>& priors);

// "a sound loom shows below 0.5 Ω; over range: reseat the terminal in C1-3"
std::string outcome_text(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                         std::size_t test);

// "remake C1 3; and turn C2 round" for a hypothesis; "nothing is wrong" for none.
std::string repair_text_of(const Proof& proof, const WeighedHypothesis& hypothesis);

}  // namespace loomgraft::find
