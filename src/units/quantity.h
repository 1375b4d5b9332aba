// Strong quantities: the value inside is always SI, and kinds never mix by accident.
//
// Model   a Quantity holds one double in the SI unit of its kind; a Celsius is a point on a scale, not an
//         amount
// Gives   sums and scaling within a kind, and the few products that the work needs (U = I R, P = U I, E = P
//         t)
// Fails   never; a value may be any double, callers check ranges where they take input
#pragma once

#include <compare>

namespace loomgraft {

template <class Kind>
struct Quantity {
  double si = 0.0;

  constexpr auto operator<=>(const Quantity&) const = default;
  friend constexpr Quantity operator+(Quantity a, Quantity b) { return {a.si + b.si}; }
  friend constexpr Quantity operator-(Quantity a, Quantity b) { return {a.si - b.si}; }
  friend constexpr Quantity operator-(Quantity a) { return {-a.si}; }
  friend constexpr Quantity operator*(Quantity a, double k) { return {a.si * k}; }
  friend constexpr Quantity operator*(double k, Quantity a) { return {a.si * k}; }
  friend constexpr Quantity operator/(Quantity a, double k) { return {a.si / k}; }
  friend constexpr double operator/(Quantity a, Quantity b) { return a.si / b.si; }
};

using Amperes = Quantity<struct AmpereKind>;
using Volts = Quantity<struct VoltKind>;
using Ohms = Quantity<struct OhmKind>;
using Watts = Quantity<struct WattKind>;
using Joules = Quantity<struct JouleKind>;
using Henries = Quantity<struct HenryKind>;
using Seconds = Quantity<struct SecondKind>;
using Metres = Quantity<struct MetreKind>;
using SquareMetres = Quantity<struct SquareMetreKind>;
using Newtons = Quantity<struct NewtonKind>;
using OhmsPerMetre = Quantity<struct OhmPerMetreKind>;
using WattsPerMetre = Quantity<struct WattPerMetreKind>;

constexpr Volts operator*(Amperes i, Ohms r) {
  return {i.si * r.si};
}
constexpr Volts operator*(Ohms r, Amperes i) {
  return i * r;
}
constexpr Amperes operator/(Volts u, Ohms r) {
  return {u.si / r.si};
}
constexpr Ohms operator/(Volts u, Amperes i) {
  return {u.si / i.si};
}
constexpr Watts operator*(Volts u, Amperes i) {
  return {u.si * i.si};
}
constexpr Watts operator*(Amperes i, Volts u) {
  return u * i;
}
constexpr Ohms operator*(OhmsPerMetre r, Metres length) {
  return {r.si * length.si};
}
constexpr Joules operator*(Watts p, Seconds t) {
  return {p.si * t.si};
}

// A point on the Celsius scale. Only differences are amounts.
struct Celsius {
  double degrees = 0.0;
  constexpr auto operator<=>(const Celsius&) const = default;
  friend constexpr double operator-(Celsius a, Celsius b) { return a.degrees - b.degrees; }
};

constexpr Metres millimetres(double mm) {
  return {mm * 1e-3};
}
constexpr double in_millimetres(Metres length) {
  return length.si * 1e3;
}
constexpr SquareMetres square_millimetres(double mm2) {
  return {mm2 * 1e-6};
}
constexpr double in_square_millimetres(SquareMetres area) {
  return area.si * 1e6;
}
constexpr Amperes milliamperes(double ma) {
  return {ma * 1e-3};
}
constexpr double in_milliamperes(Amperes current) {
  return current.si * 1e3;
}
constexpr Ohms milliohms(double mohm) {
  return {mohm * 1e-3};
}
constexpr Ohms kiloohms(double kohm) {
  return {kohm * 1e3};
}
constexpr Joules millijoules(double mj) {
  return {mj * 1e-3};
}
constexpr double in_millijoules(Joules energy) {
  return energy.si * 1e3;
}

}  // namespace loomgraft
