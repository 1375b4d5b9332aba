// The sentence and the limit of a finding, for people.
#pragma once

#include "contention/pair.h"

namespace loomgraft::contention {

Contention describe(const Finding& finding, const PinRatings& loom, const PinRatings& pin, bool matched);

}  // namespace loomgraft::contention
