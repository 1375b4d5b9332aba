// Test plugs among the conditions of a plan. For the folder only.
#pragma once

#include "prove/conditions_internal.h"
#include "prove/test_plug.h"

namespace loomgraft::prove {

// One condition for each plug that is worth a try, after all other conditions.
void add_test_plugs(const ProveScope& scope, std::vector<PlannedCondition>& conditions);

// The plan with the test plugs that pay. `first`: position of the first test in such a condition; the tests of
// those that do not pay, and their conditions, are taken out of the report.
void make_plan_with_plugs(const Graft& graft, const ProveOptions& options, std::size_t first_test,
                          std::size_t first_condition, ProveReport& report);

}  // namespace loomgraft::prove
