// Where a feed of the vehicle can be taken: the rail of a terminal (DIN 72552), and the supply that a loom read from pin
// tables lacks.
//
// Model   the rail of terminal 30 is everything joined to the battery's plus without a fuse (a fusible link is passed);
//         15 and 50 likewise from the ignition switch, 87 from the contacts of a relay that switches a rail. Of a rail the
//         joint with most wires is offered; what belongs to a restraint or high-voltage circuit is no rail
// Gives   the end to join a wire to. What had to be added is part of the vehicle as found, marked as guessed
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/forbidden.h"
#include "loom/graft.h"

namespace loomgraft::recipes {

// Nothing where the loom has no such rail.
std::optional<WireEnd> rail(const Graft& graft, const std::vector<Wire>& planned, std::string_view terminal,
                            const ForbiddenParts& forbidden);

// The rail; where there is none, a usual supply is added first: battery with its earth, fusible link, bar of terminal 30,
// ignition switch, bar of terminal 15. 87 and 61 fall back on 15; 58 gets a light switch.
WireEnd rail_or_usual(Graft& graft, std::string_view terminal, const ForbiddenParts& forbidden);

// Every end that is on a rail, for drawings of one circuit that stop there.
std::vector<WireEnd> rail_ends(const Graft& graft, const std::vector<Wire>& planned);

}  // namespace loomgraft::recipes
