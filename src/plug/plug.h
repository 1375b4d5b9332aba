// Which plug is this, seen from which side, and which way up: from the few wires a person can see.
//
// Model   hypotheses: connector x view {wire entry, mating} x end {as drawn, turned by half a turn}, and
//         "none of these". Likelihood of what is seen: colour confusion (similar, faded, dirty), tracers not
//         seen, slips of one position for one item or for all, wires missing from the plug or added to it,
//         terminal size, empty holes, the side of the latch. Odds: data/plug_odds.csv and
//         data/colour_confusion.csv
// Needs   rows and columns as a person counts them on the side they look at (loom/face.h): from the top and
//         from the left, from 1, gaps not counted
// Gives   the posterior over all hypotheses, best first; the cavity at every position as the person sees it,
//         under the best of them; the positions that tell most (expected information)
// Fails   answers `certain` = false below `certainty`; an observation that contradicts all plugs raises "none
//         of these"; what cannot be used is a Problem, and the rest is used
// Cost    O(candidates x cavities x items); under 5 ms for 8 connectors of 100 cavities, 10 items
// Method  exact sum over viewing conditions and common slips; wires seen "somewhere" are summed over all
//         placements in distinct cavities (docs/engine-plug.md)
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

// What was seen of one cavity, an item: its rough position on the face (row from the top, column from the
// left, both from 1, as the person looks at it), a colour, a large or small cavity, or an empty one. What was
// not seen is left empty. Row and column both 0: seen somewhere in this plug; such items are of different
// cavities.
struct ObservedCavity {
  int row = 0;
  int column = 0;
  Colour colour;
  std::optional<bool> empty;
  std::optional<bool> large;
};

struct Observation {
  std::vector<ObservedCavity> cavities;
  Side latch = Side::unknown;        // as the person looks at it
  View looked_from = View::unknown;  // the side that rows and columns were counted on, where they stated it
};

// A plug to choose from: geometry and the wires expected in it.
struct PlugCandidate {
  const Connector* connector = nullptr;
  std::vector<Pin> pins;  // those of this connector
};

struct PlugOptions {
  double certainty = 0.9;    // below this posterior no answer is given
  double none_prior = 0.02;  // prior odds that it is none of the candidates, at least 0
};

struct PlugHypothesis {
  std::string connector;  // id; empty is "none of these"
  View view = View::unknown;
  bool turned = false;  // half a turn from how it is drawn
  double probability = 0.0;
};

struct NextCavity {
  int row = 0;
  int column = 0;
  double information_bits = 0.0;
};

// How likely a connector is, whichever way it is looked at.
struct PlugProbability {
  std::string connector;  // id; empty is "none of these"
  double probability = 0.0;
};

// A position as the person counts it, and the cavity that is there.
struct CavityPosition {
  int row = 0;
  int column = 0;
  std::string cavity;
};

struct PlugReport {
  std::vector<PlugHypothesis> hypotheses;  // best first, sums to 1; equals in the candidates' order
  bool certain = false;                    // the best one reaches `certainty`
  std::vector<PlugProbability> plugs;      // best first, sums to 1
  // Under the best hypothesis, row by row; empty where that is "none of these" or has no rows.
  std::vector<CavityPosition> positions;
  std::optional<CavityPosition> cavity_one;  // where the first cavity is, as the person looks
  std::string cavity_one_text;               // "top right"
  // That `positions` are right: the sum over all hypotheses that put the same cavities in the same positions.
  // A plug of one row looks the same turned and from its other side; then this is more than the best
  // probability.
  double positions_probability = 0.0;
  std::vector<NextCavity> next;  // best first, at most five
  Problems problems;
};

PlugReport find_plug(const std::vector<PlugCandidate>& candidates, const Observation& observation,
                     const PlugOptions& options = {});

}  // namespace loomgraft
