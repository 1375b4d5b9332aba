#include "setcover/cover.h"

#include <algorithm>

#include "setcover/cover_internal.h"

namespace loomgraft {

using namespace setcover;

double minutes_of(const CoverProblem& problem, const std::vector<std::size_t>& chosen) {
  std::vector<bool> used(problem.setup_minutes.size());
  double sum = 0.0;
  for (const std::size_t test : chosen) {
    sum += problem.tests[test].minutes;
    for (const std::uint32_t setup : problem.tests[test].setups) used[setup] = true;
  }
  for (std::size_t setup = 0; setup < used.size(); ++setup) {
    if (used[setup]) sum += problem.setup_minutes[setup];
  }
  return sum;
}

CoverPlan cover(const CoverProblem& problem, const CoverOptions& options) {
  const ReducedCover left = reduced(problem);
  CoverPlan plan;
  plan.tests = left.forced;
  plan.bound = left.forced_minutes;
  plan.optimal = left.problem.faults == 0;
  if (left.problem.faults > 0) {
    const CoverSearch found = cover_search(left.problem, cover_start(left.problem), options);
    for (const std::size_t test : found.tests) plan.tests.push_back(left.tests[test]);
    std::ranges::sort(plan.tests);
    plan.bound += found.bound;
    plan.optimal = found.optimal;
  }
  plan.minutes = minutes_of(problem, plan.tests);
  // The sums are the same but for the order in which they are added up.
  if (plan.optimal) plan.bound = plan.minutes;
  plan.bound = std::min(plan.bound, plan.minutes);
  return plan;
}

}  // namespace loomgraft
