// How warm a wire gets: alone, in its bundle, in time, and in a short circuit.
//
// Model   heat made in the copper (resistance rising with temperature) leaves through the insulation and from
//         its surface by natural convection of a horizontal cylinder (Churchill and Chu 1975) and radiation.
//         A bundle is a homogeneous cylinder (copper in insulation in air, two-phase formula) whose loaded
//         wires lie together in its middle, the hottest innermost. In time: two heat capacities, copper and
//         insulation, in one pair of equations: adiabatic for short times, steady for long ones
// Needs   sizes > 0, outer diameter at least the conductor's, temperatures between -60 C and 400 C, pressure
//         >= 0; still air, the wire level and its surroundings as warm as the air
// Gives   temperatures of the conductor. More current, hotter air or more loaded neighbours never make it
//         cooler, and no wire of a bundle is cooler than it would be alone
// Fails   a wire without a steady temperature below copper's melting point is a Problem "runs-away"
// Cost    steady temperature: 1 us; a bundle of 60: 5 us; a time: 4 us
// Method  docs/engine-heat.md, with its agreement with published tables
#pragma once

#include <span>
#include <tl/expected.hpp>

#include "base/problem.h"
#include "standards/insulation.h"
#include "standards/wire_sizes.h"
#include "units/quantity.h"

namespace loomgraft {

struct ThermalWire {
  OhmsPerMetre resistance;  // at 20 C
  SquareMetres area;
  Metres conductor_diameter;
  Metres outer_diameter;
  double emissivity = 0.9;
  double conductivity = 0.19;    // of the insulation, W/(m K)
  double heat_capacity = 1.6e6;  // of the insulation, J/(m3 K)
};

ThermalWire thermal_wire(const WireSize& size, const Insulation& insulation);

struct Surroundings {
  Celsius air;
  double pressure = 1.0;  // of standard atmosphere; less at altitude
};

// Heat leaving a horizontal cylinder per area and kelvin, W/(m2 K).
double convection_coefficient(Metres diameter, Celsius surface, const Surroundings& around);

tl::expected<Celsius, Problem> steady_temperature(const ThermalWire& wire, Amperes current,
                                                  const Surroundings& around);
// The current at which the steady temperature of the conductor is `limit`. Needs limit above the air.
Amperes steady_current(const ThermalWire& wire, Celsius limit, const Surroundings& around);

struct BundleWire {
  ThermalWire wire;
  Amperes current;
};
struct BundleTemperature {
  Celsius hottest;       // conductor
  std::size_t wire = 0;  // which one
  Celsius surface;
  Metres diameter;  // as a bundle laid by hand, without tape or sleeve
};
// Needs at least one wire.
tl::expected<BundleTemperature, Problem> bundle_temperature(std::span<const BundleWire> bundle,
                                                            const Surroundings& around);
// The conductor temperature of each wire of the bundle, in order.
tl::expected<std::vector<Celsius>, Problem> bundle_temperatures(std::span<const BundleWire> bundle,
                                                                const Surroundings& around);

// How long the conductor takes from `start`, where it was steady, to `limit`; infinite if it never gets there.
Seconds time_to_reach(const ThermalWire& wire, Amperes current, Celsius start, Celsius limit,
                      const Surroundings& around);
// The temperature after a time, copper's melting point at most.
Celsius temperature_after(const ThermalWire& wire, Amperes current, Celsius start, Seconds time,
                          const Surroundings& around);

// IEC 60949: k = K sqrt(ln((beta + end) / (beta + start))), A s^0.5 / mm2.
double adiabatic_k(Celsius start, Celsius end);
Seconds adiabatic_time(SquareMetres area, Amperes current, Celsius start, Celsius end);
// Onderdonk (area in mm2) and Preece (diameter), for comparison only.
Amperes onderdonk_current(SquareMetres area, Seconds time, Celsius ambient);
Amperes preece_current(Metres diameter);

}  // namespace loomgraft
