// Wires of published current tables, for the tests of heat.
#pragma once

#include <gtest/gtest.h>

#include "heat/heat.h"

namespace loomgraft {

// The default insulation of ThermalWire: figures of PVC and its like.
inline ThermalWire wire_of(double milliohm_per_metre, double conductor_mm, double outer_mm, double area_mm2) {
  ThermalWire wire;
  wire.resistance = {milliohm_per_metre * 1e-3};
  wire.area = square_millimetres(area_mm2);
  wire.conductor_diameter = millimetres(conductor_mm);
  wire.outer_diameter = millimetres(outer_mm);
  return wire;
}

// Tin-plated aircraft wire. Resistance and area: FAA AC 43.13-1B CHG 1 p. 11-23, table 11-9 (looked up:
// printed as ohm per 1000 ft and circular mils). Diameters: SAE AS22759/16 slash sheet and usual stranding,
// from memory, to about 4 %; they hardly matter, a wire's heat leaves at about D^0.3.
struct AircraftWire {
  int gauge = 0;  // AWG, 0 to -3 for 1/0 to 4/0
  double milliohm_per_metre = 0.0;
  double area_mm2 = 0.0;
  double conductor_mm = 0.0;
  double outer_mm = 0.0;
};
inline constexpr AircraftWire aircraft_wires[] = {
    {24, 93.176, 0.241, 0.61, 1.14}, {22, 53.15, 0.383, 0.76, 1.27},   {20, 32.415, 0.616, 0.97, 1.47},
    {18, 20.44, 0.963, 1.22, 1.75},  {16, 15.781, 1.229, 1.35, 1.97},  {14, 10.039, 1.941, 1.70, 2.39},
    {12, 6.627, 2.976, 2.13, 2.92},  {10, 4.134, 4.74, 2.74, 3.58},    {8, 2.297, 8.605, 4.1, 5.1},
    {6, 1.444, 13.589, 5.2, 6.3},    {4, 0.919, 21.593, 6.6, 7.75},    {2, 0.591, 33.696, 8.3, 9.7},
    {1, 0.492, 41.398, 9.2, 10.7},   {0, 0.394, 52.951, 10.4, 12.1},   {-1, 0.295, 67.392, 11.7, 13.5},
    {-2, 0.23, 84.367, 13.1, 15.0},  {-3, 0.197, 106.865, 14.7, 16.8},
};
inline ThermalWire aircraft_wire(int gauge) {
  for (const AircraftWire& one : aircraft_wires) {
    if (one.gauge == gauge) {
      return wire_of(one.milliohm_per_metre, one.conductor_mm, one.outer_mm, one.area_mm2);
    }
  }
  ADD_FAILURE() << "no aircraft wire " << gauge;
  return {};
}

// Of the standard atmosphere (ISO 2533, from memory): 46.56 kPa and 7.17 kPa of 101.325 kPa.
inline constexpr double pressure_at_20000_ft = 0.4595;
inline constexpr double pressure_at_60000_ft = 0.0708;

}  // namespace loomgraft
