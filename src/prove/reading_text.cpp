#include "prove/reading_text.h"

#include <cmath>

#include "units/print.h"

namespace loomgraft {

std::string reading_text(double value, const std::string& unit, double over_range) {
  if (unit == "A") return print(Amperes{value});
  if (unit != "ohm") return print(Volts{value});
  return value >= over_range ? "over range" : print(Ohms{value});
}

std::string band_text(const Band& band, const std::string& unit, double over_range) {
  const bool ohms = unit == "ohm";
  if (ohms && band.low >= over_range) return "over range";
  if (!std::isfinite(band.high) || (ohms && band.high >= over_range))
    return "at least " + reading_text(band.low, unit, over_range);
  if (ohms && band.low <= 0.0) return "at most " + reading_text(band.high, unit, over_range);
  return reading_text(band.low, unit, over_range) + " to " + reading_text(band.high, unit, over_range);
}

}  // namespace loomgraft
