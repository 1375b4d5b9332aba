// How often a test draws anew. Under the address sanitizer a round costs ten times as much and runs the same
// code: a third of them has to do there.
#pragma once

#include <algorithm>

namespace loomgraft::samples {

constexpr int rounds(int full) {
#ifdef __SANITIZE_ADDRESS__
  return std::max(1, full / 3);
#else
  return full;
#endif
}

}  // namespace loomgraft::samples
