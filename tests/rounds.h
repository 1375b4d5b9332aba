// How often a test draws anew. Under the address sanitizer a round costs ten times as much and runs the same
// code: a third of them has to do there.
#pragma once

#include <algorithm>

namespace loomgraft::samples {

template <class Count>
constexpr Count rounds(Count full) {
#ifdef __SANITIZE_ADDRESS__
  return std::max(Count{1}, full / 3);
#else
  return full;
#endif
}

}  // namespace loomgraft::samples
