// How likely a glimpse is under every hypothesis of find_plug.
//
// Model   for a plug seen in one way: the sum over conditions of looking and over slips common to all
//         sightings of the product over sightings; each placed sighting is summed over the cavity it may
//         mean, and the sightings without a place over all placings in distinct cavities
// Gives   natural logarithms, so that hundreds of sightings do not run out of range
// Cost    O(sightings x cells) for each plug; sightings without a place cost cells x 2^k x k in groups of k
//         <= 8
#pragma once

#include <vector>

#include "plug/faces.h"

namespace loomgraft::plug {

// A sighting that has been checked. Row or column 0: not known.
struct PlacedLook {
  int row = 0;
  int column = 0;
  PlugLook look;
};

struct PlugEvidence {
  std::vector<PlacedLook> placed;  // at least a row or a column
  std::vector<PlugLook> anywhere;
  Side latch = Side::unknown;
  View looked_from = View::unknown;
};

// For each of the four ways of PlugFaces::ways.
std::array<double, 4> log_likelihood(const PlugEvidence& evidence, const PlugFaces& faces,
                                     const PlugOdds& odds);

double log_likelihood_of_none(const PlugEvidence& evidence, const PlugOdds& odds);

// The mean, over all ways to place the looks in distinct cells, of the product of their chances.
// chances[look][cell]; looks beyond eight are taken in groups of eight.
double log_mean_over_placings(const std::vector<std::vector<double>>& chances);

// log(sum(exp(terms)))
double log_of_sum(const std::vector<double>& terms);

}  // namespace loomgraft::plug
