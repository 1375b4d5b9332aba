// What a meter may show, as intervals; and when a fault is clear of them.
//
// Model   a healthy band is the span of readings over the corners of every part, widened by what the meter
//         can be off by and rounded outwards to its digits. What it shows under a fault spreads as the
//         healthy reading does, by share or by amount, and as much as parts of the loom do where the healthy
//         reading does not tell. Ohms above the meter's highest range are all one reading: over range.
// Gives   exposed: both intervals apart by one digit at least, so that no verdict depends on the last digit
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "prove/meter.h"
#include "prove/prove.h"
#include "readings/dictionary.h"

namespace loomgraft::prove {

Band healthy_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span);
// `in_series`: the fault adds a known resistance to the way itself, which spreads as it does without.
Band fault_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span, double reading,
                bool in_series = false);
bool is_exposed(const MeterSheet& meter, MeterQuantity quantity, const Band& healthy, const Band& fault);

// The bands of one test under many faults.
//
// Model   fault_band() is a step function: as long as both ends stay in the same ranges of the meter, a reading between
//         two that give the same band gives it too. The steps met last are kept, and most readings are on one of them
// Gives   fault_band() and is_exposed() of each reading
// Cost    a few comparisons for a reading on a step that was met
class FaultBands {
 public:
  // `meter` outlives it.
  FaultBands(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span, const Band& healthy);

  // The ranges of the meter that the ends fall in, before and after its error is added.
  struct Ranges {
    const MeterRange* low[2] = {};
    const MeterRange* high[2] = {};
    bool operator==(const Ranges&) const = default;
  };
  struct Step {
    double from = 0.0;  // readings
    double to = 0.0;
    Band band;
    Ranges ranges;
    bool exposed = false;
    std::optional<std::uint32_t> place;  // for the caller: in a ReadingRow
  };
  // Good until the next call.
  Step& at(double reading, bool in_series);

 private:
  Step& learn(double reading, bool in_series);

  const MeterSheet& meter_;
  MeterQuantity quantity_;
  ReadingSpan span_;
  Band healthy_;
  std::vector<Step> steps_[2];  // by in_series, the one met last first
};

}  // namespace loomgraft::prove
