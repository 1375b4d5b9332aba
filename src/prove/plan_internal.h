// From what every test exposes to a plan in the order of work. For the folder only.
#pragma once

#include <optional>

#include "prove/cover.h"
#include "prove/exposure_internal.h"

namespace loomgraft::prove {

// The tests of a report as a cover: a harmful fault that a dead test exposes counts in dead tests alone, so
// that whatever is chosen has found it before power comes on.
CoverProblem cover_problem(const ProveReport& report);

// Dead states before live ones, each state once, place by place within it.
std::vector<std::size_t> in_order(const ProveReport& report, std::vector<std::size_t> chosen);

void note_unexposed(const ProveScope& scope, ProveReport& report, const std::vector<NearMiss>& misses);

// The least resistance in each joint that one of the planned tests would notice.
// `measured` by position in the report's tests, `benches` by state.
std::vector<JointThreshold> joint_thresholds(const MeterSheet& meter, const ProveReport& report,
                                             const std::vector<MeasuredTest>& measured,
                                             const std::vector<std::optional<StateBench>>& benches,
                                             const std::stop_token& stop = {});

}  // namespace loomgraft::prove
