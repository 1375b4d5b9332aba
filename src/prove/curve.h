// What a plan buys, step by step: how much of what could be wrong no step has shown yet, and the worst of it.
//
// Model   every fault has its odds; those that no step up to here exposes are unproved. Shares are of the odds of all
//         faults of the report that matter, those that no test exposes among them, so the curve ends above zero
// Gives   a point before the first step and one after each
// Cost    the exposures of the planned tests
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "prove/prove.h"

namespace loomgraft {

struct PlanMoment {
  double minutes = 0.0;   // from the start
  double unproved = 1.0;  // share of the odds
  double harmful = 0.0;   // share of the odds of faults that could burn or break something; 0: there are none
  Harm worst = Harm::none;
  std::size_t count = 0;  // unproved faults as harmful as the worst
  std::size_t fault = 0;  // the likeliest of them; the number of faults where nothing is left
};

std::vector<PlanMoment> curve_of(const ProveReport& report);

// "3 faults could start a fire, such as: ..."
std::string worst_text(const ProveReport& report, const PlanMoment& point);

}  // namespace loomgraft
