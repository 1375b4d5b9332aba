// The steps in which a network's relays come to rest.
#pragma once

#include <span>
#include <vector>

#include "network/loom_network.h"

namespace loomgraft {

using RelayPositions = std::vector<bool>;  // by LoomNetwork::relays; true: pulled in

struct RelayStep {
  RelayPositions now;
  RelayPositions next;  // the positions that follow from the volts at the coils
  OperatingPoint point;
};

void set_contacts(LoomNetwork& network, const RelayPositions& pulled);

// The positions that follow from the volts at the coils: some pull in; only where none does, some release.
RelayPositions next_positions(const LoomNetwork& network, const OperatingPoint& point,
                              const RelayPositions& now);

// As solve(), and notes each step; the last is the solution's. `near`: the steps of a network that may be
// similar; they save time and do not change the result.
tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network, Solver& solver,
                                             std::vector<RelayStep>* steps,
                                             std::span<const RelayStep> near = {});

}  // namespace loomgraft
