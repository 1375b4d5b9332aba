#include "prove/bands.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "standards/network_figures.h"

namespace loomgraft::prove {
namespace {

constexpr double unbounded = std::numeric_limits<double>::infinity();

double floored(double value, double count) {
  return std::floor(value / count + 1e-9) * count;
}
double ceiled(double value, double count) {
  return std::ceil(value / count - 1e-9) * count;
}

using Ranges = FaultBands::Ranges;

// Widened by the meter and rounded outwards; notes the ranges it fell in.
Band shown(const MeterSheet& meter, MeterQuantity quantity, double low, double high, Ranges& ranges) {
  const bool ohms = quantity == MeterQuantity::ohms;
  const double limit = ohms ? over_range_of(meter) : unbounded;
  Band band{std::min(low, limit), std::min(high, limit)};
  const auto range = [&](double value) { return &range_for(meter, quantity, value); };
  if (band.low < limit) {
    ranges.low[0] = range(band.low);
    band.low -= error_in(meter, quantity, *ranges.low[0], band.low);
    ranges.low[1] = range(band.low);
    band.low = floored(band.low, ranges.low[1]->count);
  }
  if (band.high < limit) {
    ranges.high[0] = range(band.high);
    band.high += error_in(meter, quantity, *ranges.high[0], band.high);
    ranges.high[1] = range(band.high);
    band.high = ceiled(band.high, ranges.high[1]->count);
  }
  if (ohms) band.low = std::max(band.low, 0.0);
  if (band.high >= limit) band.high = unbounded;
  return band;
}

Band shown_under_fault(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span,
                       double reading, bool in_series, Ranges& ranges) {
  if (!std::isfinite(reading)) return {-unbounded, unbounded};
  const double amount = std::max(span.nominal - span.low, span.high - span.nominal);
  const bool ohms = quantity == MeterQuantity::ohms;
  const bool tells = span.nominal != 0.0 && !(ohms && span.nominal >= over_range_of(meter));
  const double size = std::abs(reading);
  const bool known = ohms && in_series && tells;
  static const double parts_differ = default_figure("parts_differ_share");
  const double share = known   ? 0.0
                       : tells ? std::min(parts_differ, amount / std::abs(span.nominal))
                               : parts_differ;
  const double spread = std::max(share * size, tells ? std::min(amount, size) : 0.0);
  return shown(meter, quantity, reading - spread, reading + spread, ranges);
}

constexpr std::size_t kept_steps = 8;

}  // namespace

Band healthy_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span) {
  Ranges ranges;
  return shown(meter, quantity, span.low, span.high, ranges);
}

Band fault_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span, double reading,
                bool in_series) {
  Ranges ranges;
  return shown_under_fault(meter, quantity, span, reading, in_series, ranges);
}

bool is_exposed(const MeterSheet& meter, MeterQuantity quantity, const Band& healthy, const Band& fault) {
  const auto apart = [&](double below, double above) {
    return std::isfinite(below) && above - below > 0.999 * count_at(meter, quantity, below);
  };
  return apart(healthy.high, fault.low) || apart(fault.high, healthy.low);
}

FaultBands::FaultBands(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span,
                       const Band& healthy)
    : meter_(meter), quantity_(quantity), span_(span), healthy_(healthy) {}

FaultBands::Step& FaultBands::at(double reading, bool in_series) {
  std::vector<Step>& steps = steps_[in_series ? 1 : 0];
  for (std::size_t k = 0; k < steps.size(); ++k) {
    if (!(steps[k].from <= reading && reading <= steps[k].to)) continue;
    if (k > 0) std::swap(steps[k], steps[k - 1]);
    return steps[k > 0 ? k - 1 : 0];
  }
  return learn(reading, in_series);
}

FaultBands::Step& FaultBands::learn(double reading, bool in_series) {
  std::vector<Step>& steps = steps_[in_series ? 1 : 0];
  Step step{reading, reading, {}, {}, false, {}};
  step.band = shown_under_fault(meter_, quantity_, span_, reading, in_series, step.ranges);
  const auto same = [&](const Step& other) {
    return other.band.low == step.band.low && other.band.high == step.band.high &&
           other.ranges == step.ranges;
  };
  const auto met = std::ranges::find_if(steps, same);
  if (met != steps.end() && std::isfinite(reading)) {
    met->from = std::min(met->from, reading);
    met->to = std::max(met->to, reading);
    return *met;
  }
  step.exposed = is_exposed(meter_, quantity_, healthy_, step.band);
  if (steps.size() == kept_steps) steps.pop_back();
  steps.push_back(step);
  return steps.back();
}

}  // namespace loomgraft::prove
