// How likely an observation is under every hypothesis of find_plug.
//
// Model   for a plug seen in one orientation: the sum over viewing conditions and over slips common to all
//         items of the product over items; each item with a position is summed over the cavities it may mean,
//         and the items without one over all placements in distinct cavities
// Gives   natural logarithms, so that hundreds of items do not run out of range
// Cost    O(items x cells) for each plug; items without a position cost cells x 2^k x k in groups of k
//         <= 8
#pragma once

#include <vector>

#include "plug/faces.h"

namespace loomgraft::plug {

// An item that has been checked. Row or column 0: not known.
struct PlacedEvidence {
  int row = 0;
  int column = 0;
  CavityEvidence item;
};

struct PlugEvidence {
  std::vector<PlacedEvidence> placed;  // at least a row or a column
  std::vector<CavityEvidence> anywhere;
  Side latch = Side::unknown;
  View looked_from = View::unknown;
};

// For each of PlugFaces::orientations.
std::array<double, 4> log_likelihood(const PlugEvidence& evidence, const PlugFaces& faces,
                                     const PlugOdds& odds);

double log_likelihood_of_none(const PlugEvidence& evidence, const PlugOdds& odds);

// The mean, over all ways to place the items in distinct cells, of the product of their chances.
// chances[item][cell]; items beyond eight are taken in groups of eight.
double log_mean_over_placements(const std::vector<std::vector<double>>& chances);

// log(sum(exp(terms)))
double log_of_sum(const std::vector<double>& terms);

}  // namespace loomgraft::plug
