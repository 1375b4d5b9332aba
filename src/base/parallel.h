// Independent pieces of work on all cores.
//
// Model   one crew for the whole program, a thread for each core beyond the caller's; who asks works on what it
//         asked for itself, and whoever is idle helps. So work may ask for more of its own kind, and no more
//         threads run than there are cores and callers.
// Needs   work(k) that touches nothing of another k
// Gives   work(0) ... work(count - 1), each done once, in any order; all done on return
// Fails   with the first exception met, once all have ended; what was not begun by then is left out
// Cost    some microseconds beside the work
#pragma once

#include <cstddef>
#include <functional>

namespace loomgraft {

std::size_t cores();

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace loomgraft
