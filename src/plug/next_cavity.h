// Which cavity to look at next: the expected information of its colour about the hypotheses of find_plug.
//
// Model   what would be reported of a cavity is a mixture over hypotheses; its entropy less the mean entropy
//         under each hypothesis is what looking there tells on average (Shannon's mutual information)
// Gives   bits for each position not yet seen, best first; only positions that exist under at least half of
//         the probability, so that nobody is sent to a cavity that is probably not there
// Cost    O(kinds of cells x reports + hypotheses x positions x reports), about 200 reports
#pragma once

#include <vector>

#include "plug/likelihood.h"

namespace loomgraft::plug {

struct WeightedHypothesis {
  const PlugFaces* faces = nullptr;  // null is "none of these"
  std::size_t orientation = 0;
  double probability = 0.0;
};

std::vector<NextCavity> next_cavities(const std::vector<WeightedHypothesis>& hypotheses,
                                      const PlugEvidence& evidence, const PlugOdds& odds);

}  // namespace loomgraft::plug
