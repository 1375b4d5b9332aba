// The steady current at which a wire in a bundle is hotter than common insulation bears: it chars, and so do
// its neighbours (data/wire_burns.csv).
//
// Model   published currents for a conductor at 200 C, between them straight in log-log, beyond them on the
//         slope of the nearest two
// Needs   area > 0
#pragma once

#include "units/quantity.h"

namespace loomgraft {

Amperes burning_current(SquareMetres area);

}  // namespace loomgraft
