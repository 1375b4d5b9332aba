// The condition in which every circuit carries its current. For the folder only.
#pragma once

#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft::readings {

Condition everything_on(const Graft& graft);

}  // namespace loomgraft::readings
