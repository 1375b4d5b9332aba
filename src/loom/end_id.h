// The end id of a wire end: a cavity or terminal in one word, used in faults, checks, conditions and reports: "C3:1",
// "valve:a".
//
// Gives   both directions: end_from(end_id(end)) == end for every end whose cavity has no colon in it. A
//         device or connector as a whole is its id alone.
#pragma once

#include <string>

#include "loom/graft.h"

namespace loomgraft {

std::string end_id(const WireEnd& end);
std::string end_id(const CavityRef& at);
WireEnd end_from(const std::string& id);

}  // namespace loomgraft
