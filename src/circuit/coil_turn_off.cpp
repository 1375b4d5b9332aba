#include "circuit/coil_turn_off.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace loomgraft::circuit {
namespace {

Amperes steady(const WorkedCoil& coil) {
  return coil.supply / coil.resistance;
}

Amperes towards(const CoilDecay& decay) {
  return decay.opposing / decay.loop;
}

}  // namespace

CoilDecay decay_with_diode(const WorkedCoil& coil, Volts forward, Ohms on_resistance) {
  const Amperes start = steady(coil);
  const Volts across = forward + start * on_resistance;
  return {coil.inductance, coil.resistance + on_resistance, forward, start, across, coil.supply + across};
}

CoilDecay decay_with_resistor(const WorkedCoil& coil, Ohms across) {
  const Amperes start = steady(coil);
  const Volts peak = start * across;
  return {coil.inductance, coil.resistance + across, Volts{0.0}, start, peak, coil.supply + peak};
}

CoilDecay decay_with_clamp(const WorkedCoil& coil, Volts clamp) {
  const Volts beyond = clamp - coil.supply;
  return {coil.inductance, coil.resistance, beyond, steady(coil), beyond, clamp};
}

CoilDecay decay_with_zener(const WorkedCoil& coil, Volts zener, Volts forward) {
  const Volts across = zener + forward;
  return {coil.inductance, coil.resistance, across, steady(coil), across, coil.supply + across};
}

Amperes current_after(const CoilDecay& decay, Seconds time) {
  const Amperes target = towards(decay);
  const double left = std::exp(-time.si * decay.loop.si / decay.inductance.si);
  return std::max(Amperes{0.0}, (decay.start + target) * left - target);
}

Seconds time_to(const CoilDecay& decay, Amperes current) {
  if (current >= decay.start) return {0.0};
  const Amperes target = towards(decay);
  const double ratio = (decay.start + target) / (std::max(current, Amperes{0.0}) + target);
  if (!std::isfinite(ratio)) return {std::numeric_limits<double>::infinity()};
  return {decay.inductance.si / decay.loop.si * std::log(ratio)};
}

// The charge that passes: L/R (I0 - U/R ln(1 + I0 R/U)), the integral of the current to its zero.
Joules energy_into_clamp(const CoilDecay& decay, Volts clamp) {
  const double constant = decay.inductance.si / decay.loop.si;
  const double target = towards(decay).si;
  const double held = target > 0.0 ? target * std::log1p(decay.start.si / target) : 0.0;
  return {clamp.si * constant * (decay.start.si - held)};
}

}  // namespace loomgraft::circuit
