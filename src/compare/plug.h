// Which plug is this, seen from which side, and which way up: from the few wires a person can see.
//
// Model   hypotheses: connector x view {wire entry, mating} x end {as drawn, turned by 180 degrees}, and
// "none of these".
//         Likelihood of what is seen: colour confusion (faded, similar), position slips of one place, missing
//         wires, terminal size, empty holes, the side of the latch.
// Gives   the posterior over all hypotheses, best first; and the places whose look would tell most (expected
// information) Fails   answers `certain` = false below `certainty`; a glimpse that contradicts all plugs
// raises "none of these"
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

// One thing seen: at a rough place of the face (row from the top, column from the left, both from 1, as the
// person looks at it), a colour, a large or small cavity, or an empty hole. What was not looked at is left
// empty.
struct Sighting {
  int row = 0;
  int column = 0;
  Colour colour;
  std::optional<bool> empty;
  std::optional<bool> large;
};

struct Glimpse {
  std::vector<Sighting> sightings;
  Side latch = Side::unknown;  // as the person looks at it
};

// A plug to choose from: geometry and the wires expected in it.
struct PlugCandidate {
  const Connector* connector = nullptr;
  std::vector<Pin> pins;  // those of this connector
};

struct PlugOptions {
  double certainty = 0.9;    // below this posterior no answer is given
  double none_prior = 0.02;  // prior odds that it is none of the candidates
};

struct PlugHypothesis {
  std::string connector;  // id; empty is "none of these"
  View view = View::unknown;
  bool turned = false;  // half a turn from how it is drawn
  double probability = 0.0;
};

struct NextLook {
  int row = 0;
  int column = 0;
  double information_bits = 0.0;
};

struct PlugReport {
  std::vector<PlugHypothesis> hypotheses;  // best first, sums to 1
  bool certain = false;
  std::vector<NextLook> next;  // best first, at most five
  Problems problems;
};

PlugReport find_plug(const std::vector<PlugCandidate>& candidates, const Glimpse& glimpse,
                     const PlugOptions& options = {});

}  // namespace loomgraft
