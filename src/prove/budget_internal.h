// The most that can be shown in so many minutes. For the folder only.
//
// Model   budgeted maximum coverage with minutes that depend on the order: choose and order tests that take at most so
//         many minutes and expose the largest share of the odds, harmful faults counting several times. Tests with power
//         only where every harmful fault that a test without power exposes has been exposed
// Gives   the sequence, and a bound: the share of the odds that no plan of so many minutes can show more than
// Method  greedy by share per minute from nothing and from the beginning of the whole plan, then exchanges; the bound is
//         that of a 0-1 program in which each point is touched once (cover_problem())
#pragma once

#include <cstdint>
#include <vector>

#include "prove/cover.h"
#include "prove/order_internal.h"

namespace loomgraft::prove {

std::vector<std::size_t> best_within(const HandWork& work, double minutes,
                                     const std::vector<std::size_t>& whole_plan, const OrderOptions& options);

// `cover`: the work as a cover; `free_way`: minutes that it counts too many.
double most_within(const HandWork& work, const CoverProblem& cover, double minutes, double free_way);

}  // namespace loomgraft::prove
