// Stock sizes of vehicle wire: resistance and diameters, metric and AWG (data/wire_sizes.csv).
//
// Model   plain copper, thin-wall insulation; resistance is the highest allowed at 20 C
// Gives   sizes sorted by area; for an area that no table lists, a size computed from copper's resistivity
//         and a usual wall, whose status is "computed"
#pragma once

#include <span>
#include <string>

#include "units/quantity.h"

namespace loomgraft {

enum class WireSystem { metric, awg };

struct WireSize {
  std::string name;  // "0.5 mm²", "AWG 20"
  SquareMetres area;
  OhmsPerMetre resistance;  // highest at 20 C
  Metres conductor_diameter;
  Metres outer_diameter;
  std::string source;
  std::string status;
};

std::span<const WireSize> wire_sizes(WireSystem system);

// Needs area > 0. A listed size within 2 % of the area, metric first; else a computed one.
WireSize wire_size_of(SquareMetres area);

// Solid round conductor of an AWG number: ASTM B258, d = 0.127 mm * 92^((36 - n) / 39). 0, -1, -2, -3 are
// 1/0 to 4/0.
Metres awg_diameter(int gauge);
// The AWG name whose area is nearest ("AWG 20"), for people who buy in AWG.
std::string nearest_awg(SquareMetres area);

}  // namespace loomgraft
