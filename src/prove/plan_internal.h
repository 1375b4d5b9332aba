// From what every test exposes to a plan in the order of work. For the folder only.
#pragma once

#include <optional>

#include "base/stop.h"
#include "prove/cover.h"
#include "prove/exposure_internal.h"

namespace loomgraft::prove {

// The tests of a report as a cover. A harmful fault that a dead test exposes counts in dead tests only, so that
// any choice has found it before power comes on.
CoverProblem cover_problem(const ProveReport& report);

// Dead conditions before live ones, each condition once; by probe point within it.
std::vector<std::size_t> in_order(const ProveReport& report, std::vector<std::size_t> chosen);

void note_unexposed(const ProveScope& scope, ProveReport& report, const std::vector<NearMiss>& misses);

// The smallest added resistance in each joint that one of the planned tests detects.
// `measured` by position in the report's tests, `benches` by condition.
std::vector<JointThreshold> joint_thresholds(const MeterSheet& meter, const ProveReport& report,
                                             const std::vector<MeasuredTest>& measured,
                                             const std::vector<std::optional<ConditionBench>>& benches,
                                             const StopToken& stop = {});

}  // namespace loomgraft::prove
