// From what every test exposes to a plan in the order of work. For the folder only.
#pragma once

#include <optional>

#include "base/stop.h"
#include "prove/exposure_internal.h"
#include "setcover/cover.h"

namespace loomgraft::prove {

// The tests of a report as a cover whose minutes no sequence of them can be below, but for the way to the last place. A
// harmful fault that a dead test exposes counts in dead tests only, so that any choice has found it before power comes on.
CoverProblem cover_problem(const ProveReport& report, const Graft& graft);

// The choice of a plan before it is put in order: quicker than a whole plan, to compare two sets of tests.
CoverPlan plan_choice(const ProveReport& report, const Graft& graft);

// Chooses tests, unless plan_choice() of the report is given, and puts them in the order of work; fills in their minutes
// and the bound. In large looms the choice is made anew.
void make_plan(const Graft& graft, const ProveOptions& options, ProveReport& report,
               const CoverPlan* made_choice = nullptr);

void note_unexposed(const ProveScope& scope, ProveReport& report, const std::vector<NearMiss>& misses);

// The smallest added resistance in each joint that one of the planned tests detects.
// `measured` by position in the report's tests, `benches` by condition.
std::vector<JointThreshold> joint_thresholds(const MeterSheet& meter, const ProveReport& report,
                                             const std::vector<MeasuredTest>& measured,
                                             const std::vector<std::optional<ConditionBench>>& benches,
                                             const StopToken& stop = {});

}  // namespace loomgraft::prove
