// What insulation stands: temperature classes and cable types (data/insulation.csv).
//
// Gives   the class's highest conductor temperature for life, and the temperature that ends it in a short
//         circuit
// Fails   nullptr for a name that no row has
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "units/quantity.h"

namespace loomgraft {

struct Insulation {
  std::string name;  // "class B", "TXL"
  std::string material;
  Celsius lowest;
  Celsius highest;        // for life
  Celsius short_circuit;  // for up to 5 s
  double emissivity = 0.0;
  double conductivity = 0.0;   // W/(m K)
  double heat_capacity = 0.0;  // J/(m3 K)
  std::string source;
  std::string status;
};

// Letters and case as people write them: "B", "class b", "TXL".
const Insulation* insulation(std::string_view name);
std::span<const Insulation> insulations();

}  // namespace loomgraft
