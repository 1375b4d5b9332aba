// The wires of the planned loom whose far end nobody has said yet.
//
// Gives   feeds and earths of modules first, then inputs and outputs, then pins that serve many circuits; in each group in
//         the natural order of their cavities
#pragma once

#include <string>
#include <vector>

#include "loom/forbidden.h"
#include "loom/graft.h"

namespace loomgraft::recipes {

struct OpenWire {
  std::string id;
  std::string signal;  // of the wire, else of its pin
  WireEnd pin;
  PinClass pin_class = PinClass::unknown;
  bool added = false;  // by the plan; else of the loom as found
  bool forbidden = false;
};

std::vector<OpenWire> open_wires(const Graft& graft, const std::vector<Wire>& planned,
                                 const ForbiddenParts& forbidden);

}  // namespace loomgraft::recipes
