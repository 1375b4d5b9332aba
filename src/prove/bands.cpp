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

// Widened by the meter and rounded outwards.
Band shown(const MeterSheet& meter, MeterQuantity quantity, double low, double high) {
  const bool ohms = quantity == MeterQuantity::ohms;
  const double limit = ohms ? over_range_of(meter) : unbounded;
  Band band{std::min(low, limit), std::min(high, limit)};
  if (band.low < limit) {
    band.low -= error_at(meter, quantity, band.low);
    band.low = floored(band.low, count_at(meter, quantity, band.low));
  }
  if (band.high < limit) {
    band.high += error_at(meter, quantity, band.high);
    band.high = ceiled(band.high, count_at(meter, quantity, band.high));
  }
  if (ohms) band.low = std::max(band.low, 0.0);
  if (band.high >= limit) band.high = unbounded;
  return band;
}

}  // namespace

Band healthy_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span) {
  return shown(meter, quantity, span.low, span.high);
}

Band fault_band(const MeterSheet& meter, MeterQuantity quantity, const ReadingSpan& span, double reading,
                bool in_series) {
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
  return shown(meter, quantity, reading - spread, reading + spread);
}

bool is_exposed(const MeterSheet& meter, MeterQuantity quantity, const Band& healthy, const Band& fault) {
  const auto apart = [&](double below, double above) {
    return std::isfinite(below) && above - below > 0.999 * count_at(meter, quantity, below);
  };
  return apart(healthy.high, fault.low) || apart(fault.high, healthy.low);
}

}  // namespace loomgraft::prove
