#include <algorithm>
#include <tuple>

#include "prove/plan_internal.h"

namespace loomgraft::prove {

CoverProblem cover_problem(const ProveReport& report) {
  std::vector<bool> found_dead(report.faults.size());
  for (const ProveTest& test : report.tests) {
    if (report.conditions[test.condition].live) continue;
    for (const std::size_t fault : test.exposes) found_dead[fault] = true;
  }
  CoverProblem problem;
  problem.faults = report.faults.size();
  for (const ProveCondition& condition : report.conditions)
    problem.setup_minutes.push_back(condition.minutes);
  for (const PlaceAccess& access : report.accesses) problem.setup_minutes.push_back(access.minutes);
  for (const ProveTest& test : report.tests) {
    CoverTest made{test.minutes, {static_cast<std::uint32_t>(test.condition)}, {}};
    for (const std::size_t access : test.accesses)
      made.setups.push_back(static_cast<std::uint32_t>(report.conditions.size() + access));
    for (const std::size_t fault : test.exposes) {
      const bool too_late =
          report.conditions[test.condition].live && found_dead[fault] && is_harmful(report.faults[fault]);
      if (!too_late) made.exposes.push_back(static_cast<std::uint32_t>(fault));
    }
    problem.tests.push_back(std::move(made));
  }
  return problem;
}

std::vector<std::size_t> in_order(const ProveReport& report, std::vector<std::size_t> chosen) {
  std::ranges::stable_sort(chosen, {}, [&](std::size_t k) {
    const ProveTest& test = report.tests[k];
    const ProveCondition& condition = report.conditions[test.condition];
    return std::tuple(condition.live, test.condition, test.red.at, test.black.at, test.id);
  });
  return chosen;
}

}  // namespace loomgraft::prove
