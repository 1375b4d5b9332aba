// The wire's temperature in time, step by step. For the heat files only.
//
// Model   two stores: the copper, and the insulation at its surface; between them the insulation's resistance.
//         Copper's losses are linear in its temperature, so only the surface's flow bends
// Gives   `run` calls visit(step) for each step until it returns true, the time is over or the wire rests. A
//         step knows the copper's temperature at every moment within it
// Method  exponential Rosenbrock-Euler (Hochbruck and Ostermann 2010): each step is exact for the equations
//         linearised where it begins. Steps end where the surface would move by a set amount, a continuous
//         function of everything, so that times read from them have no jumps
#pragma once

#include <optional>

#include "design/heat_surface_internal.h"

namespace loomgraft {

// x' = f + J x for two stores from x = 0, J with positive off-diagonal entries.
class LinearStep {
 public:
  LinearStep(double j11, double j12, double j21, double j22, double f1, double f2);
  double first(double time) const;
  double second(double time) const;

 private:
  struct Weights {
    double slow = 0.0;
    double fast = 0.0;
  };
  double slow_ = 0.0;  // eigenvalues
  double fast_ = 0.0;
  Weights first_;  // of (e^(lambda t) - 1) / lambda
  Weights second_;
};

class Transient {
 public:
  Transient(const ThermalWire& wire, Amperes current, Celsius start, const Surroundings& around);

  double conductor() const { return conductor_; }
  double elapsed() const { return elapsed_; }
  // The linearised equations from here, and how long they may be followed.
  struct Step {
    LinearStep path;
    double length = 0.0;
  };
  Step next() const;
  void advance(const Step& step, double length);

 private:
  SurfaceFlow surface_;
  double within_;          // m K/W
  double copper_store_;    // J/(m K)
  double skin_store_;      // J/(m K)
  double heat_at_20_;      // W/m
  double air_;
  double conductor_;
  double skin_;
  double elapsed_ = 0.0;
};

}  // namespace loomgraft
