// Which assumptions matter: how far a reading moves when one assumed figure goes from one end of its spread
// to the other and everything else stays.
//
// Model   one assumption at a time; figures with a spread only (lengths, sizes, default values of a kind,
//         feeds, earths and far ends that were assumed)
// Needs   an end or a branch that the network has
// Gives   effects sorted by span, the largest first; those that do not move the reading are left out
// Fails   Problem "nothing-to-watch" if the network has no such end or branch; what solve() fails with
// Cost    two networks and two solutions for each assumption
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "network/loom_network.h"

namespace loomgraft {

// Volts to the body at an end, or the current of the first branch of a kind and subject.
struct Watch {
  WireEnd at;
  bool module_side = false;  // the module's side of a contact
  std::string subject;       // if not empty: current
  BranchKind kind = BranchKind::wire;
};

struct AssumptionEffect {
  Assumption assumption;
  double weakest = 0.0;  // the reading, in volts or amperes, with the figure at that end
  double strongest = 0.0;
};

tl::expected<std::vector<AssumptionEffect>, Problem> assumption_effects(const Graft& graft,
                                                                        const Condition& condition,
                                                                        const NetworkOptions& options,
                                                                        const Watch& watch);

}  // namespace loomgraft
