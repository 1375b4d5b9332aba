// A place of the loom in one word, as faults, checks, conditions and reports name it: "C3:1", "valve:a".
//
// Gives   the two ways round: end_from(end_id(end)) == end for every end whose cavity has no colon in it. A
//         device or connector as a whole is its id alone.
#pragma once

#include <string>

#include "loom/graft.h"

namespace loomgraft {

std::string end_id(const WireEnd& end);
std::string end_id(const CavityRef& at);
WireEnd end_from(const std::string& id);

}  // namespace loomgraft
