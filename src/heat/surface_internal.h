// Heat that leaves a horizontal cylinder into still air, and its figures. For the heat files only.
//
// Model   Nu = (0.60 + 0.387 (Ra / [1 + (0.559/Pr)^(9/16)]^(16/9))^(1/6))^2, Churchill and Chu 1975, with
//         air's properties at the film temperature; radiation to surroundings as warm as the air. Of the
//         properties only viscosity and diffusivity follow pressure (both as 1/p), so Ra goes with p^2.
// Gives   flow and its exact slope, both without kinks in the surface's temperature except at the rows of
//         data/air.csv
// Cost    about 20 ns a call
#pragma once

#include <string_view>

#include "heat/heat.h"

namespace loomgraft::heat {

// A figure of data/heat.csv. A wrong name is a bug of the caller: throws std::logic_error.
double heat_figure(std::string_view name);

constexpr double kelvin_at_zero = 273.15;  // by definition of the Celsius scale

struct FlowAndSlope {
  double flow = 0.0;   // W/m
  double slope = 0.0;  // W/(m K)
};

class SurfaceFlow {
 public:
  SurfaceFlow(Metres diameter, double emissivity, const Surroundings& around);
  FlowAndSlope at(double surface) const;
  // Of the convection alone, W/(m2 K).
  double convection(double surface) const;

 private:
  struct Convection {
    double per_length = 0.0;  // W/(m K): pi k Nu
    double slope = 0.0;       // of per_length times the difference
  };
  Convection convect(double surface) const;

  double diameter_;
  double air_;
  double size_;  // p^(1/3) D^(1/2), the part of Ra^(1/6) that does not change
  double radiation_;
  double air_radiates_;
};

// The lowest surface temperature at which flow = source * (1 + alpha (T - 20)). Not a number where there is
// none below copper's melting point.
double balanced_surface(const SurfaceFlow& surface, double source, double air);

// Surface temperature under a conductor at `conductor`, in a steady state. Needs a resistance >= 0, m K/W.
double surface_under(const SurfaceFlow& surface, double conductor, double resistance, double air);

// Through the insulation, m K/W.
double insulation_resistance(const ThermalWire& wire);

// Conductivity of air at a temperature, W/(m K).
double air_conductivity(double celsius);

Problem runs_away(std::string_view what, Celsius air);

}  // namespace loomgraft::heat
