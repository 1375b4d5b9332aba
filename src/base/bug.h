// The end of a call that only a mistake in the program or in its embedded data can reach.
//
// Gives   throws std::logic_error, which ends a command with a message and refuses a request; on platforms without
//         exceptions the program ends
#pragma once

#include <string>

namespace loomgraft {

[[noreturn]] void bug(const std::string& what);

}  // namespace loomgraft
