#include "base/stop.h"

#include <algorithm>

namespace loomgraft {

Problem was_stopped() {
  return {Severity::error, "stopped", {}, "This was stopped before it was ready.", "Ask for it again."};
}

bool is_stopped(const Problems& problems) {
  return std::ranges::any_of(problems, [](const Problem& problem) { return problem.code == "stopped"; });
}

}  // namespace loomgraft
