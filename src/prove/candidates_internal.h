// Every measurement that makes sense in a state. For the folder only.
#pragma once

#include <vector>

#include "readings/dictionary.h"
#include "prove/meter.h"
#include "prove/conditions_internal.h"

namespace loomgraft::prove {

struct Candidate {
  ProveTest test;
  DictionaryTest probe;
  MeterQuantity quantity = MeterQuantity::ohms;
};

// `network` is that of the state, nominal; `solution` its operating point. In the order of the loom; no two
// alike.
std::vector<Candidate> candidates_of(const ProveScope& scope, std::size_t number, const PlannedState& planned,
                                     const LoomNetwork& network, const NetworkSolution& solution);

}  // namespace loomgraft::prove
