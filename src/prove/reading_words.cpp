#include "prove/reading_words.h"

#include <cmath>

#include "units/print.h"

namespace loomgraft {

std::string reading_words(double value, const std::string& unit) {
  if (unit == "ohm") return value >= over_range_ohms ? "over range" : print(Ohms{value});
  if (unit == "A") return print(Amperes{value});
  return print(Volts{value});
}

std::string band_words(const Band& band, const std::string& unit) {
  const bool ohms = unit == "ohm";
  if (ohms && band.low >= over_range_ohms) return "over range";
  if (ohms && band.high >= over_range_ohms) return "above " + reading_words(band.low, unit);
  if (ohms && band.low <= 0.0) return "below " + reading_words(band.high, unit);
  return reading_words(band.low, unit) + " to " + reading_words(band.high, unit);
}

}  // namespace loomgraft
