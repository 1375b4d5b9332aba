// The parts of a diagram, where they belong, and the hops of wires between them.
//
// Model   a part is a module, a mated pair of connectors, a connector of its own, a device, or a grommet that
//         wires go through. Zones are counted in grommets from the modules (diagram/zones.h); within a zone
//         are, from left to right, modules, mated connectors, joints and fuses, devices; grommets are
//         between zones. A hop is a wire's stretch between two parts, or from a part to an end in the open.
// Gives   parts in the order in which wires name them; terminals in their own order
// Fails   never: an end at nothing becomes a part of that name, with a Problem
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "diagram/choice.h"
#include "diagram/net.h"

namespace loomgraft::diagram {

enum class PartShape { module, connector, mated, grommet, joint, earth, open_end, two_ended, relay, box };

struct PartTerminal {
  std::string connector;  // id, empty for devices
  std::string name;       // cavity or terminal
  const Pin* pin = nullptr;
  bool forbidden = false;
};

struct DiagramPart {
  PartShape shape = PartShape::box;
  PartKey key;
  std::string id;
  std::string name;
  const Device* device = nullptr;
  bool forbidden = false;  // restraint or high-voltage
  const DeviceKind* kind = nullptr;
  const Module* module = nullptr;
  const Connector* left = nullptr;  // of a mated pair, or the one connector
  const Connector* right = nullptr;
  const LoomPath* path = nullptr;
  std::vector<PartTerminal> terminals;
  std::size_t zone = 0;
  Band band = Band::middle;
  bool main = false;              // a module in column 0
  std::vector<std::size_t> also;  // other sheets with this part
};

// Where a hop ends. `side` is set where the part leaves no choice.
struct HopEnd {
  std::size_t part = nothing;  // nothing: in the open
  std::size_t terminal = 0;
  std::optional<bool> right;
};

struct Hop {
  std::size_t wire = nothing;  // in Choice::wires; nothing: a pin without a wire
  HopEnd from;
  HopEnd to;
  bool ghost = false;  // where an end of a moved wire was
};

struct PartsAndHops {
  std::vector<DiagramPart> parts;
  std::vector<Hop> hops;  // those of a wire in order from its `from` to its `to`
};

// Has the pin a row of its own in a module drawn with all of its pins?
bool is_drawn_bare(const Pin& pin);

// Without grommets all parts are in one zone.
PartsAndHops find_parts(const Graft& graft, const DiagramIndex& index, Choice& choice, bool grommets = true);

}  // namespace loomgraft::diagram
