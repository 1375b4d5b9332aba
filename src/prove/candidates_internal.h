// Every measurement that makes sense in a condition. For the folder only.
#pragma once

#include <vector>

#include "prove/conditions_internal.h"
#include "prove/meter.h"
#include "readings/dictionary.h"

namespace loomgraft::prove {

struct Candidate {
  ProveTest test;
  DictionaryTest probe;
  MeterQuantity quantity = MeterQuantity::ohms;
  std::string text_if_joined;  // instead of the test's text where parts join the two points in a sound loom
};

// `network` is that of the condition, nominal; `solution` its operating point. In the order of the loom, each
// measurement once.
std::vector<Candidate> candidates_of(const ProveScope& scope, std::size_t number,
                                     const PlannedCondition& planned, const LoomNetwork& network,
                                     const NetworkSolution& solution);

}  // namespace loomgraft::prove
