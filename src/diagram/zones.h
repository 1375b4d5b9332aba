// On which side of the grommets each part of a diagram is.
//
// Model   a zone counts the grommets between a part and the modules. Places and paths give it where a device
//         names its place: the modules' own place is where most of their wires come from. What has no place
//         is as far as its nearest neighbour, plus the grommets on the wire between them.
// Gives   zone 0 for modules; parts that nothing joins to them count from themselves
// Cost    paths plus wires
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::diagram {

struct ZonePart {
  std::string place;  // id, or empty
  bool module = false;
};

struct ZoneWire {
  std::size_t a = 0;  // parts
  std::size_t b = 0;
  const Wire* wire = nullptr;
};

struct Zones {
  std::vector<std::size_t> parts;
  // Of each path of the graft: the nearer of its two zones, where its places give it.
  std::vector<std::size_t> paths;
};

inline constexpr std::size_t unknown_zone = static_cast<std::size_t>(-1);

Zones find_zones(const Graft& graft, const std::vector<ZonePart>& parts, const std::vector<ZoneWire>& wires);

}  // namespace loomgraft::diagram
