// Which other pins of its module belong to the circuit of a pin: the return of a sensor, its 5 V, the other wire of a pair.
//
// Model   pins of the wanted class, by words that their signals share, then by how near they stand in the plug. A pin that
//         serves many circuits (5 V, sensor earth, feeds, screen) may be in use; any other must be free
// Gives   cavities of the loom by role; roles without a pin are listed
#pragma once

#include <map>
#include <string>
#include <vector>

#include "loom/forbidden.h"
#include "loom/graft.h"
#include "recipes/recipe.h"

namespace loomgraft::recipes {

struct Partners {
  std::map<std::string, CavityRef> cavities;  // with "this"
  std::vector<std::string> missing;           // roles that are not optional
};

Partners partners_of(const Graft& graft, const std::vector<Wire>& planned, const Recipe& recipe,
                     const WireEnd& pin, const ForbiddenParts& forbidden);

// The words of a signal's name that tell it from others, lower case, sorted: "fuel", "temp" for "Fuel temp sensor +".
std::vector<std::string> telling_words(const std::string& signal);

}  // namespace loomgraft::recipes
