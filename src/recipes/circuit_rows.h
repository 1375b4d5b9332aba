// One circuit of the planned loom as rows of parts and wires: what a person sees of it at one glance.
//
// Model   from the wire of a pin through joints, fuses, relays and loads to feeds, earths and other pins. A row is a chain
//         in which current flows; the row of the pin comes first. At a rail, a battery, an earth or a module's pin a chain
//         ends; a fuse is followed towards its feed only
// Gives   every wire of the circuit once
#pragma once

#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::recipes {

enum class RowPartKind { pin, device, feed, plug, open };

struct RowPart {
  RowPartKind kind = RowPartKind::device;
  std::string id;  // of the device; of the connector of a pin or of one half of a plug
  std::string in;  // terminals by which the chain enters and leaves it; a pin's cavity
  std::string out;
  std::string wire;  // id of the wire to the next part of the row; empty for the last
};

using CircuitRow = std::vector<RowPart>;

std::vector<CircuitRow> circuit_rows(const Graft& graft, const std::vector<Wire>& planned,
                                     const std::string& wire);

}  // namespace loomgraft::recipes
