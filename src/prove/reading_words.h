// Readings and bands as people read them off a meter.
#pragma once

#include <string>

#include "prove/prove.h"

namespace loomgraft {

// "12.4 V", "0.42 ohm", "over range"
std::string reading_words(double value, const std::string& unit);
// "11.4 V to 14.6 V", "below 0.5 ohm", "above 50 Mohm (over range)"
std::string band_words(const Band& band, const std::string& unit);

}  // namespace loomgraft
