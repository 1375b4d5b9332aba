#include "instrument/steady.h"

#include <algorithm>
#include <cmath>

namespace loomgraft::instrument {
namespace {

constexpr std::ptrdiff_t fewest_samples = 3;

struct Closeness {
  double share;
  double amount;
};
constexpr Closeness closeness[] = {{0.01, 0.05}, {0.005, 0.005}, {0.01, 0.02}};  // by function

constexpr double about_nothing = 0.05;  // volts or amperes
constexpr double moved_share = 0.2;
constexpr double moved_amount = 0.5;

}  // namespace

std::optional<MeterValue> steady_value(std::span<const TimedValue> samples, MeterFunction function,
                                       std::chrono::milliseconds span) {
  if (samples.empty()) return std::nullopt;
  // The newest sample that is old enough begins the window: between it and the next ones nothing moved.
  const MeterTime begin = samples.back().time - span;
  const auto after = std::find_if(samples.begin(), samples.end(),
                                  [&](const TimedValue& sample) { return sample.time > begin; });
  if (after == samples.begin()) return std::nullopt;
  const auto first = after - 1;
  const std::span<const TimedValue> window(first, samples.end());
  if (std::ssize(window) < fewest_samples) return std::nullopt;
  const bool over = window.front().value.over_range;
  if (std::ranges::any_of(window, [&](const TimedValue& one) { return one.value.over_range != over; }))
    return std::nullopt;
  if (over) return MeterValue{0.0, true};
  const auto amount = [](const TimedValue& one) { return one.value.amount; };
  const auto [low, high] = std::ranges::minmax(window, {}, amount);
  double sum = 0.0;
  for (const TimedValue& one : window) sum += one.value.amount;
  const double mean = sum / static_cast<double>(window.size());
  const Closeness& close = closeness[static_cast<int>(function)];
  if (amount(high) - amount(low) > std::max(close.amount, close.share * std::abs(mean))) return std::nullopt;
  return MeterValue{mean, false};
}

bool looks_like_air(const MeterValue& value, MeterFunction function) {
  if (function == MeterFunction::ohms) return value.over_range;
  return !value.over_range && std::abs(value.amount) < about_nothing;
}

bool Touches::moved_clearly(const MeterValue& value) const {
  if (!stood_ || stood_->over_range || value.over_range) return false;
  const double by = std::abs(value.amount - stood_->amount);
  return by > std::max(moved_amount, moved_share * std::abs(stood_->amount));
}

void Touches::sample(const MeterValue& value, MeterFunction function) {
  if (looks_like_air(value, function)) {
    lifted_ = true;
    stood_.reset();
    return;
  }
  const bool moved = function != MeterFunction::ohms && moved_clearly(value);
  if (!lifted_ && !moved) return;
  lifted_ = false;
  stood_.reset();
  ++count_;
}

}  // namespace loomgraft::instrument
