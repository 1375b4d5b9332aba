#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "heat/transient_internal.h"
#include "standards/copper.h"

namespace loomgraft {

using namespace heat;
namespace {

// The surface moves this far in a step: a share of what it is above the air, and some kelvin to begin with.
// Halving both changes no time by more than 0.1 %.
constexpr double step_share = 0.06;
constexpr double step_kelvin = 2.0;
// A bare wire counts as one in a thin film, so that both capacities and the resistance between them exist.
constexpr double smallest_resistance = 1e-4;  // m K/W
constexpr double smallest_skin_store = 1e-3;  // of the copper's

// (e^(rate t) - 1) / rate
double grown(double rate, double time) {
  return rate == 0.0 ? time : std::expm1(rate * time) / rate;
}

LinearPath linear_path(double j11, double j12, double j21, double j22, double f1, double f2) {
  const double half = (j11 - j22) / 2.0;
  const double root = std::sqrt(half * half + j12 * j21);
  LinearPath path;
  path.slow = (j11 + j22) / 2.0 + root;
  path.fast = (j11 + j22) / 2.0 - root;
  path.first_slow = ((half + root) * f1 + j12 * f2) / (2.0 * root);
  path.second_slow = (j21 * f1 + (root - half) * f2) / (2.0 * root);
  path.first_fast = f1 - path.first_slow;
  path.second_fast = f2 - path.second_slow;
  return path;
}

// Heat in the copper, J/(m K), such that heat alone gives the adiabatic formula of IEC 60949: K^2 rho alpha.
double copper_store(const ThermalWire& wire) {
  const double k = copper().adiabatic_constant * 1e6;  // A s^0.5 / m2
  return k * k * copper().resistivity * copper().temperature_coefficient * wire.area.si;
}

double insulation_store(const ThermalWire& wire) {
  const double outer = wire.outer_diameter.si;
  const double inner = wire.conductor_diameter.si;
  return wire.heat_capacity * std::numbers::pi / 4.0 * (outer * outer - inner * inner);
}

}  // namespace

double heat::heat_kept(const ThermalWire& wire, double start, double end) {
  const double alpha = copper().temperature_coefficient;
  if (end <= start) return 0.0;
  const double growth = std::log((1.0 + alpha * (end - 20.0)) / (1.0 + alpha * (start - 20.0)));
  return copper_store(wire) * growth / (wire.resistance.si * alpha);
}

double LinearPath::first(double time) const {
  return first_slow * grown(slow, time) + first_fast * grown(fast, time);
}
double LinearPath::second(double time) const {
  return second_slow * grown(slow, time) + second_fast * grown(fast, time);
}

// Before the fault the wire is steady at `start`, whatever current keeps it there.
Transient::Transient(const ThermalWire& wire, Amperes current, Celsius start, const Surroundings& around)
    : surface_(wire.outer_diameter, wire.emissivity, around),
      within_(std::max(insulation_resistance(wire), smallest_resistance)),
      copper_store_(copper_store(wire)),
      skin_store_(std::max(insulation_store(wire), smallest_skin_store * copper_store_)),
      heat_at_20_(current.si * current.si * wire.resistance.si),
      air_(around.air.degrees),
      conductor_(start.degrees),
      skin_(surface_under(surface_, start.degrees, within_, air_)) {}

Transient::Step Transient::next() const {
  const double alpha = copper().temperature_coefficient;
  const FlowAndSlope off = surface_.at(skin_);
  const double through = (conductor_ - skin_) / within_;
  const double f1 = (heat_at_20_ * (1.0 + alpha * (conductor_ - 20.0)) - through) / copper_store_;
  const double f2 = (through - off.flow) / skin_store_;
  const double j11 = (alpha * heat_at_20_ - 1.0 / within_) / copper_store_;
  const double j12 = 1.0 / (within_ * copper_store_);
  const double j21 = 1.0 / (within_ * skin_store_);
  const double j22 = -(1.0 / within_ + off.slope) / skin_store_;
  Step step;
  step.path = linear_path(j11, j12, j21, j22, f1, f2);
  // When a body with this speed and this acceleration, both one way, has gone so far. Speed alone would not
  // do: the surface starts at rest.
  const double speed = std::abs(f2);
  const double gain = std::abs(j21 * f1 + j22 * f2);
  const double reach = step_kelvin + step_share * std::abs(skin_ - air_);
  step.length = 2.0 * reach / (speed + std::sqrt(speed * speed + 2.0 * gain * reach));
  return step;
}

void Transient::advance(const Step& step, double length) {
  conductor_ += step.path.first(length);
  skin_ += step.path.second(length);
  elapsed_ += length;
}

Seconds time_to_reach(const ThermalWire& wire, Amperes current, Celsius start, Celsius limit,
                      const Surroundings& around) {
  if (start >= limit) return {};
  const auto steady = steady_temperature(wire, current, around);
  if (steady && *steady <= limit) return {infinite};
  const auto level = [&](double) { return limit.degrees; };
  return {time_to_meet(Transient(wire, current, start, around), level)};
}

Celsius temperature_after(const ThermalWire& wire, Amperes current, Celsius start, Seconds time,
                          const Surroundings& around) {
  const Celsius melting = copper().melting;
  if (time.si == infinite) return steady_temperature(wire, current, around).value_or(melting);
  Transient state(wire, current, start, around);
  while (state.elapsed() < time.si) {
    const Transient::Step step = state.next();
    const double left = time.si - state.elapsed();
    if (!(step.length < left)) {
      state.advance(step, left);
      break;
    }
    const double before = state.elapsed();
    state.advance(step, step.length);
    if (state.conductor() >= melting.degrees || state.elapsed() == before) break;
  }
  return std::min(Celsius{state.conductor()}, melting);
}

}  // namespace loomgraft
