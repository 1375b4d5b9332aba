// Copper as a conductor (data/copper.csv).
#pragma once

#include "units/quantity.h"

namespace loomgraft {

struct Copper {
  double resistivity = 0.0;              // ohm m at 20 C
  double temperature_coefficient = 0.0;  // 1/K at 20 C
  double density = 0.0;                  // kg/m3
  double specific_heat = 0.0;            // J/(kg K) at 20 C
  double conductivity = 0.0;             // W/(m K)
  double adiabatic_constant = 0.0;       // A s^0.5 / mm2, IEC 60949's K
  double adiabatic_beta = 0.0;           // C, IEC 60949's beta
  Celsius melting;
  double strand_lay = 0.0;  // resistance of a stranded wire above a solid one of equal area
};

const Copper& copper();

// Factor from the resistance at 20 C to that at `temperature`: 1 + alpha (T - 20).
double copper_factor(Celsius temperature);

}  // namespace loomgraft
