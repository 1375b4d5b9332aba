#include "find/practice.h"

#include <algorithm>
#include <cmath>

namespace loomgraft {
namespace {

bool touches(const Band& a, const Band& b) {
  return a.low <= b.high && b.low <= a.high;
}

bool is_over(double value, const std::string& unit, double over_range) {
  return unit == "ohm" && value >= over_range;
}

// To four digits, as on a display, unless that leaves the interval.
double displayed(double value, const Band& band) {
  if (value == 0.0 || !std::isfinite(value)) return value;
  const double scale = std::pow(10.0, 3.0 - std::floor(std::log10(std::abs(value))));
  const double rounded = std::round(value * scale) / scale;
  return rounded >= band.low && rounded <= band.high ? rounded : value;
}

double middle_of(const Band& band, const std::string& unit, double over_range) {
  if (is_over(band.high, unit, over_range)) return over_range_reading;
  return displayed(0.5 * (band.low + band.high), band);
}

double sound_reading(const ProveTest& test, double over_range) {
  if (is_over(test.nominal, test.unit, over_range)) return over_range_reading;
  return displayed(std::clamp(test.nominal, test.band.low, test.band.high), test.band);
}

}  // namespace

std::vector<Reading> practice_readings(const Proof& proof, std::string_view fault) {
  const std::vector<Fault>& faults = proof.report.faults;
  const double over_range = proof.report.over_range;
  const auto planted = std::ranges::find(faults, fault, &Fault::id);
  if (!fault.empty() && planted == faults.end()) return {};
  std::vector<Reading> readings;
  for (std::size_t k = 0; k < proof.report.tests.size(); ++k) {
    const ProveTest& test = proof.report.tests[k];
    Reading reading;
    reading.id = "practice " + test.id;
    reading.test = test.id;
    reading.unit = test.unit;
    reading.value = sound_reading(test, over_range);
    if (planted != faults.end()) {
      const Band& shown = proof.readings.at(k, static_cast<std::size_t>(planted - faults.begin()));
      if (!touches(shown, test.band)) reading.value = middle_of(shown, test.unit, over_range);
    }
    readings.push_back(std::move(reading));
  }
  return readings;
}

}  // namespace loomgraft
