// Which place to look at next: the expected information of its colour about the hypotheses of find_plug.
//
// Model   what would be reported of a place is a mixture over hypotheses; its entropy less the mean entropy
//         under each hypothesis is what the look tells on average (Shannon's mutual information)
// Gives   bits for each place not yet seen, best first; only places that exist under at least half of the
//         probability, so that nobody is sent to a cavity that is hardly there
// Cost    O(kinds of cells x reports + hypotheses x places x reports), about 200 reports
#pragma once

#include <vector>

#include "plug/likelihood.h"

namespace loomgraft::plug {

struct WeightedWay {
  const PlugFaces* faces = nullptr;  // null is "none of these"
  std::size_t way = 0;
  double probability = 0.0;
};

std::vector<NextLook> next_looks(const std::vector<WeightedWay>& ways, const PlugEvidence& evidence,
                                 const PlugOdds& odds);

}  // namespace loomgraft::plug
