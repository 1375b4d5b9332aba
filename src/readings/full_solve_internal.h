// What one meter shows in one network, by a full solve with the meter in place. For the fault dictionary
// where nothing faster is valid, and for its tests.
#pragma once

#include <tl/expected.hpp>

#include "network/relay_steps.h"
#include "readings/dictionary.h"

namespace loomgraft::readings {

tl::expected<double, Problem> reading_by_full_solve(LoomNetwork network, const DictionaryTest& test,
                                                    Solver& solver, std::span<const RelayStep> near = {});

}  // namespace loomgraft::readings
