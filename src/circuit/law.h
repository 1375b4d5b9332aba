// The piecewise-linear law of each nonlinear element.
#pragma once

#include <array>
#include <cstddef>
#include <optional>

#include "circuit/circuit.h"

namespace loomgraft {

// i = slope[p] (v - emf[p]) + held[p] on piece p, from knee[p - 1] to knee[p].
struct Law {
  int pieces = 1;
  std::array<double, 2> knee{};
  std::array<double, 3> slope{};
  std::array<double, 3> emf{};
  std::array<double, 3> held{};
};

// Current into `plus`, against the voltage from plus to minus.
inline Law law_of(const LimitedSource& source) {
  const double reach = source.limit.si * source.resistance.si;
  const double low = source.voltage.si - reach;
  const double high = source.voltage.si + reach;
  return {3,
          {low, high},
          {limit_slope, 1.0 / source.resistance.si, limit_slope},
          {low, source.voltage.si, high},
          {-source.limit.si, 0.0, source.limit.si}};
}

inline Law law_of(const Diode& diode) {
  const double off = 1.0 / diode.off_resistance.si;
  const double knee = diode.forward.si;
  return {2, {knee}, {off, 1.0 / diode.on_resistance.si}, {0.0, knee}, {0.0, off * knee}};
}

inline int piece_at(const Law& law, double volts) {
  int piece = 0;
  while (piece + 1 < law.pieces && volts > law.knee[static_cast<std::size_t>(piece)]) ++piece;
  return piece;
}

// The first element with an impossible value.
std::optional<Problem> bad_element_of(const Circuit& circuit);

}  // namespace loomgraft
