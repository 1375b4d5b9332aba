// A wire's temperature in time, step by step. For the files of heat and protection only.
//
// Model   two heat capacities: the copper, and the insulation, placed at its surface; between them the thermal
//         resistance of the insulation. Copper's losses are linear in its temperature, so only the flow from
//         the surface is nonlinear
// Gives   steps, each with the copper's temperature rise at every moment within it. A step ends where the
//         surface would have moved by a set amount, a continuous function of all inputs, so that times read
//         from the steps have no jumps
// Method  exponential Rosenbrock-Euler (Hochbruck and Ostermann 2010): each step is exact for the equations
//         linearised where it begins, hence exact for the copper alone and exact at rest
#pragma once

#include <limits>

#include "heat/surface_internal.h"

namespace loomgraft::heat {

inline constexpr double infinite = std::numeric_limits<double>::infinity();

// x' = f + J x from x = 0, for two stores; J's off-diagonal entries are > 0, so its eigenvalues are real.
struct LinearPath {
  double slow = 0.0;  // eigenvalues
  double fast = 0.0;
  double first_slow = 0.0;  // f along the eigenvectors
  double first_fast = 0.0;
  double second_slow = 0.0;
  double second_fast = 0.0;

  double first(double time) const;
  double second(double time) const;
};

class Transient {
 public:
  Transient(const ThermalWire& wire, Amperes current, Celsius start, const Surroundings& around);

  struct Step {
    LinearPath path;  // first: the copper, second: the surface
    double length = 0.0;
  };
  Step next() const;
  void advance(const Step& step, double length);

  double conductor() const { return conductor_; }
  double elapsed() const { return elapsed_; }

 private:
  SurfaceFlow surface_;
  double within_;        // m K/W
  double copper_store_;  // J/(m K)
  double skin_store_;    // J/(m K)
  double heat_at_20_;    // W/m
  double air_;
  double conductor_;
  double skin_;
  double elapsed_ = 0.0;
};

// The A2 s that take the copper from start to end if it keeps all its heat.
double heat_kept(const ThermalWire& wire, double start, double end);

// Where a rising function passes zero between 0 and `end`. Needs over(0) < 0 <= over(end).
template <class Rising>
double first_crossing(const Rising& over, double end) {
  double low = 0.0;
  double high = end;
  double below = over(low);
  double above = over(high);
  for (int i = 0; i < 80 && high - low > 1e-13 * end; ++i) {
    double middle = low - below * (high - low) / (above - below);
    if (!(middle > low && middle < high)) middle = (low + high) / 2.0;
    const double at = over(middle);
    if (at == 0.0) return middle;
    // The Illinois rule: the end that stays counts half, so that both ends converge.
    if (at < 0.0) {
      low = middle;
      below = at;
      above /= 2.0;
    } else {
      high = middle;
      above = at;
      below /= 2.0;
    }
  }
  return high;
}

// When the copper meets a limit that never rises with time; infinite where it never does within the steps.
// `limit(time)` in C. Needs a wire that warms.
template <class Limit>
double time_to_meet(Transient wire, const Limit& limit) {
  if (wire.conductor() >= limit(0.0)) return 0.0;
  constexpr int step_limit = 2000;
  for (int i = 0; i < step_limit; ++i) {
    const Transient::Step step = wire.next();
    const auto over = [&](double time) {
      return wire.conductor() + step.path.first(time) - limit(wire.elapsed() + time);
    };
    if (!(step.length < infinite)) return infinite;
    if (over(step.length) >= 0.0) {
      return over(0.0) >= 0.0 ? wire.elapsed() : wire.elapsed() + first_crossing(over, step.length);
    }
    wire.advance(step, step.length);
  }
  return infinite;
}

}  // namespace loomgraft::heat
