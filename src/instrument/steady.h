// When a value has stood still, and when the leads were lifted.
//
// Model   a value stands still if all samples of the last second, at least three, lie close together. Leads in the air
//         show over range in ohms and about nothing in volts and amperes
// Needs   samples of one function, in the order of time
// Gives   the mean of those samples. Closeness is common practice, without a source: 1 % or 0.05 ohm, 0.5 % or 5 mV, 1 % or
//         20 mA, whichever is larger
// Cost    linear in the samples
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <span>

#include "instrument/meter.h"

namespace loomgraft::instrument {

using MeterClock = std::chrono::steady_clock;
using MeterTime = MeterClock::time_point;

struct TimedValue {
  MeterTime time;
  MeterValue value;
};

std::optional<MeterValue> steady_value(std::span<const TimedValue> samples, MeterFunction function,
                                       std::chrono::milliseconds span);

// Whether leads in the air show the same.
bool looks_like_air(const MeterValue& value, MeterFunction function);

// Counts how often the leads were put on. In ohms they count as lifted where the meter shows over range. In volts and
// amperes where it shows about nothing, or where a value that stood still has moved by a fifth and by half a unit.
class Touches {
 public:
  void sample(const MeterValue& value, MeterFunction function);
  // The value stood still.
  void stood(const MeterValue& value) { stood_ = value; }
  // What was shown before says nothing about what will be: another function.
  void forget_value() { stood_.reset(); }
  std::uint64_t count() const { return count_; }

 private:
  bool moved_clearly(const MeterValue& value) const;

  bool lifted_ = false;
  std::uint64_t count_ = 0;
  std::optional<MeterValue> stood_;
};

}  // namespace loomgraft::instrument
