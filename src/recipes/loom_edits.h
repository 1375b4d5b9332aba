// One-tap changes of a circuit: a part put into a wire, a second earth, the circuit taken away again.
//
// Model   a wire that the plan added, or that is guessed, is changed where it stands; a wire of the loom as found is changed
//         by the plan (its end moves to the new part)
// Gives   the changed graft
// Fails   the graft unchanged with a Problem where the change does not fit
#pragma once

#include <string>
#include <string_view>

#include "recipes/complete.h"

namespace loomgraft {

// `part`: "splice", "connector" (a plug of one cavity in the middle of the wire), "fuse", "relay" (the output works its coil,
// its contacts carry the load), or a kind of data/device_kinds.csv with two terminals.
Completion insert_part(const Graft& graft, const std::string& wire, std::string_view part);

// A splice alone; `by_plan`: a guessed wire too is changed by the plan, since the joint is new work.
Completion insert_joint(const Graft& graft, const std::string& wire, bool by_plan);

// A second way to earth for a device that has one already, to a point of its own.
Completion second_earth(const Graft& graft, const std::string& device);

// `device` gives its wires to `other`, a device of the same kind that is there already (a fuse, an earth, a joint, a
// relay), and goes. A feed that both have stays once.
Completion use_existing(const Graft& graft, const std::string& device, const std::string& other);

// Takes away what a recipe brought for this wire, and leaves the wire open again; a wire that no recipe brought is whole
// again, without what was put into it. What other circuits use stays.
Completion reopen_circuit(const Graft& graft, const std::string& wire);

// A person has looked: the guessed wires and devices of this circuit are as proposed.
Completion confirm_circuit(const Graft& graft, const std::string& wire);

}  // namespace loomgraft
