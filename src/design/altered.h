// What the plan adds or moves, grouped into circuits as people name them: a device with its wires.
//
// Model   a circuit is a consumer, switch or sensor with every altered wire that ends at it; devices that an
//         altered wire joins directly are one circuit; a wire between joints, fuses, earths and modules is
//         a circuit of its own
// Gives   circuits in the order of the plan; wires that touch something forbidden are left out with a Problem
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/problem.h"
#include "loom/forbidden.h"
#include "loom/graft.h"

namespace loomgraft::design {

struct AlteredCircuit {
  std::string id;  // of its first device, else of its wire
  std::string name;
  std::vector<std::string> wires;
  std::vector<std::string> devices;  // without joints, fuses, earths
};

struct AlteredLoom {
  std::vector<Wire> wires;      // of the planned loom that the plan added or moved
  std::set<std::string> added;  // ids of those it added: their size is chosen here
  std::vector<AlteredCircuit> circuits;
  ForbiddenParts forbidden;
  Problems problems;
};

AlteredLoom altered_loom(const Graft& graft, ForbiddenParts forbidden);

const Device* find_device(const Graft& graft, std::string_view id);
const std::string& device_name(const Device& device);  // its id if it has none
// Width of the terminals in the row that a cavity stands in, where the document states it.
std::optional<Metres> terminal_width_at(const Graft& graft, const WireEnd& end);

}  // namespace loomgraft::design
