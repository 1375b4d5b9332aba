// What one meter shows in one network, solved in full with the meter in place. For the fault dictionary where
// nothing quicker holds, and for its tests.
#pragma once

#include <tl/expected.hpp>

#include "readings/dictionary.h"
#include "network/relay_steps.h"

namespace loomgraft::readings {

tl::expected<double, Problem> reading_in_full(LoomNetwork network, const DictionaryTest& test, Solver& solver,
                                              std::span<const RelayStep> near = {});

}  // namespace loomgraft::readings
