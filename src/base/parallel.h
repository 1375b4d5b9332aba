// Independent pieces of work on all cores.
//
// Model   one thread pool for the whole program, with a thread for each core beyond the caller's. The caller works on its own
//         loop, and idle threads help, so work may itself call parallel_for() and no more threads run than there are
//         cores and callers.
// Needs   work(k) that touches nothing of another k
// Gives   work(0) ... work(count - 1), each done once, in any order; all done on return
// Fails   with the first exception, after all that began has ended; the rest is not begun
// Cost    some microseconds beside the work
#pragma once

#include <cstddef>
#include <functional>

namespace loomgraft {

std::size_t cores();

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace loomgraft
