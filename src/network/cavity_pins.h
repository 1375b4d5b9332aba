// The module pin that a cavity of the loom meets.
//
// Model   as found: the found module's pin. As planned: the donor's, where the graft has a donor, in the
//         cavity of the same name of the connector of the same name; else as found
// Gives   no pin where the cavity belongs to no module or its module has nothing there
#pragma once

#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft {

struct PinAt {
  const Pin* pin = nullptr;
  const Module* module = nullptr;
};

PinAt pin_at(const Graft& graft, const WireEnd& end, LoomState loom_state = LoomState::as_planned);

// The graft with the donor in the found module's place: the found module has the donor's name and pins, in
// the loom's own plugs. The graft unchanged if it does not have both.
Graft with_donor_in_place(const Graft& graft);

// A module's own earth in a network, against which its inputs read.
std::optional<NodeId> module_earth_node(const LoomNetwork& network, const std::string& module);

}  // namespace loomgraft
