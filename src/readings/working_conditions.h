// The condition in which every circuit carries its current, and the current at which a fuse opens for certain: what
// harm, symptoms and the ohms of joints that matter are computed with.
//
// Gives   everything_on(): all switches worked and all outputs on. surely_blows_at(): the lowest multiple of its rating at
//         which a blade fuse opens for certain (data/fuse_gates.csv)
#pragma once

#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft {

Condition everything_on(const Graft& graft);

double surely_blows_at();

}  // namespace loomgraft
