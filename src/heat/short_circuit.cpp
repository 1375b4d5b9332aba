#include <cmath>
#include <limits>

#include "heat/surface_internal.h"
#include "standards/copper.h"

namespace loomgraft {

using namespace heat;

double adiabatic_k(Celsius start, Celsius end) {
  if (end <= start) return 0.0;
  const double beta = copper().adiabatic_beta;
  return copper().adiabatic_constant * std::sqrt(std::log((beta + end.degrees) / (beta + start.degrees)));
}

Seconds adiabatic_time(SquareMetres area, Amperes current, Celsius start, Celsius end) {
  if (end <= start) return {};
  if (current.si == 0.0) return {std::numeric_limits<double>::infinity()};
  const double ratio = adiabatic_k(start, end) * in_square_millimetres(area) / current.si;
  return {ratio * ratio};
}

// I = A sqrt(log10((melting - ambient) / (234 + ambient) + 1) / (33 t)), A in circular mils.
Amperes onderdonk_current(SquareMetres area, Seconds time, Celsius ambient) {
  const double mils = in_square_millimetres(area) / heat_figure("circular_mil_mm2");
  const double rise = (copper().melting - ambient) / (heat_figure("onderdonk_beta") + ambient.degrees);
  return {mils * std::sqrt(std::log10(rise + 1.0) / (heat_figure("onderdonk_factor") * time.si))};
}

// I = C d^1.5, d in inches.
Amperes preece_current(Metres diameter) {
  constexpr double millimetres_per_inch = 25.4;  // by definition
  return {heat_figure("preece_copper") * std::pow(in_millimetres(diameter) / millimetres_per_inch, 1.5)};
}

}  // namespace loomgraft
