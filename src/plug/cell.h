// One cavity as its table describes it, and how likely it is to be reported as it was.
//
// Model   the cavity is empty or holds a wire; the wire has the table's colour or, rarely, another; what is
//         reported of it depends on the viewing condition (plug_odds.h)
// Gives   probabilities over what may be reported: "empty", or a base colour with or without a tracer; these
//         sum to 1
#pragma once

#include <optional>

#include "loom/graft.h"
#include "plug/odds.h"

namespace loomgraft::plug {

struct PlugCell {
  Hues hues;                  // base -1: the colour is not known, any may come
  double empty = 0.0;         // chance that no wire is there
  double tracer_false = 0.0;  // chance of a tracer on a wire that the table calls plain
  double large = 0.0;         // chance that it is called large
  bool operator==(const PlugCell&) const = default;
};

struct CavityEvidence {
  Hues hues;
  std::optional<bool> empty;
  std::optional<bool> large;
  bool shows_wire() const { return hues.base >= 0 || empty.has_value(); }
};

// A cavity of a plug about which nothing is known.
PlugCell cell_in_general(const PlugOdds& odds);

// `pin` null: the table is silent. `tracers_given`: the table gives tracers somewhere.
PlugCell cell_of(const Pin* pin, bool tracers_given, const PlugOdds& odds);

double chance_of(const CavityEvidence& item, const PlugCell& cell, const SeeingCondition& condition,
                 const PlugOdds& odds);

}  // namespace loomgraft::plug
