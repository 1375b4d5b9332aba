// What a meter may show, as intervals; and when a fault is clear of them.
//
// Model   a healthy band is the span of readings over the corners of every part, widened by what the meter
//         can be off by and rounded outwards to its digits. What it shows under a fault spreads as the
//         healthy reading does, by share or by amount, and as much as parts of the loom do where the healthy
//         reading does not tell. Ohms above the meter's highest range are all one reading: over range.
// Gives   exposed: both intervals apart by one digit at least, so that no verdict depends on the last digit
#pragma once

#include "prove/meter.h"
#include "prove/prove.h"
#include "readings/dictionary.h"

namespace loomgraft::prove {

Band healthy_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span);
// `in_series`: the fault adds a known resistance to the way itself, which spreads as it does without.
Band fault_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span, double reading,
                bool in_series = false);
bool is_exposed(const MeterSheet& meter, MeterQuantity quantity, const Band& healthy, const Band& fault);

}  // namespace loomgraft::prove
