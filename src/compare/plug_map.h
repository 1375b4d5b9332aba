// Which plug of the donor takes the place of which plug of the vehicle.
//
// Model   plugs of the same name belong together; where names differ, those whose cavities carry the same
//         functions, then those that share most cavity names. Each plug is used once.
// Gives   for each donor connector the position of the found connector, or `no_plug`
#pragma once

#include <vector>

#include "compare/pin_key.h"

namespace loomgraft {

inline constexpr std::uint16_t no_plug = 0xffff;

struct PlugMap {
  std::vector<std::uint16_t> found_of;  // by donor connector
  bool guessed = false;                 // some pair was made without equal names
};

PlugMap map_plugs(const ModuleView& found, const ModuleView& donor);

}  // namespace loomgraft
