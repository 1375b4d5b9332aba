// A whole circuit for an open wire, by a recipe: devices, fuse, relay, earth and the wires between them.
//
// Model   an open wire that the plan adds gets parts that the plan adds; an open wire of the loom as found gets parts as
//         found, marked as guessed until a person has looked. Wires of partner pins are completed with it. A pin whose wire
//         leads somewhere already is joined at that wire's far end
// Needs   a wire of the planned loom with an open end at a module pin, or an empty id for a recipe without a pin
// Gives   the changed graft, and what is new in it. Sizes stay open: design/ chooses them
// Fails   the graft unchanged with a Problem: no such wire or recipe, the far end is known already, a restraint or
//         high-voltage circuit. A partner pin that the module lacks is a warning; its end stays open
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/problem.h"
#include "loom/forbidden.h"
#include "loom/graft.h"

namespace loomgraft {

struct CompleteRequest {
  std::string wire;                        // Wire::id
  std::string recipe;                      // Recipe::id
  std::map<std::string, std::string> use;  // devices that are there already, by "kind:role" of the recipe
};

struct Completion {
  Graft graft;
  std::vector<std::string> devices;  // ids of new ones
  std::vector<std::string> wires;
  Problems problems;
};

Completion complete_circuit(const Graft& graft, const CompleteRequest& request);
// The same for a caller who knows what is forbidden in this graft.
Completion complete_circuit(const Graft& graft, const CompleteRequest& request,
                            const ForbiddenParts& forbidden);

// Every open wire with the recipe that suits it best, feeds and earths of modules first.
Completion complete_all(const Graft& graft);

}  // namespace loomgraft
