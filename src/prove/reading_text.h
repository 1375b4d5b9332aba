// Readings and bands as people read them off a meter.
//
// Gives   the same text wherever a reading or band is shown: test plans, fault notes, the command line
#pragma once

#include <string>

#include "prove/prove.h"

namespace loomgraft {

// "12.4 V", "0.42 Ω", "over range". `over_range` is that of the report: the meter's.
std::string reading_text(double value, const std::string& unit, double over_range);
// "11.4 V to 14.6 V", "at most 0.5 Ω", "at least 20 MΩ", "over range"
std::string band_text(const Band& band, const std::string& unit, double over_range);

}  // namespace loomgraft
