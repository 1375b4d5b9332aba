// What the one-tap changes of a circuit do to single wires: lead an end elsewhere, add the rest of a wire that was cut.
//
// Model   a wire that the plan added, or that is guessed, is changed where it stands; a wire of the loom as found is changed
//         by the plan
#pragma once

#include <string>
#include <string_view>

#include "recipes/complete.h"

namespace loomgraft::recipes {

Completion refused(const Graft& graft, std::string message, std::string remedy);

bool is_guessed(const Graft& graft, std::string_view wire);

// The end of the planned wire that is `planned.to` goes to `to`. A move of the plan that ends where it began is dropped.
void lead_to(Graft& graft, const Wire& planned, const WireEnd& to, bool guessed);

// A wire like the planned one between two other ends.
void add_rest(Completion& result, const Wire& planned, const WireEnd& from, const WireEnd& to, bool guessed);

// The same wire with the module's cavity as its first end.
Wire from_the_module(const Graft& graft, const Wire& wire);

// A relay in the wire: the module's side works the coil, the contacts carry what was on the other side.
Completion insert_relay(const Graft& graft, const Wire& planned, bool guessed,
                        const ForbiddenParts& forbidden);

// Takes out what was put into these wires (joints, fuses, plugs, relays), so that each is whole again. True if anything was.
bool take_out_inserted(Graft& graft, const std::string& wire);

}  // namespace loomgraft::recipes
