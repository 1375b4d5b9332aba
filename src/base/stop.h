// Stopping a long piece of work, and what it then reports.
//
// Model   a stage takes a StopToken among its options (the default one never stops) and looks at it between the steps of
//         its loops. It is std::stop_token, or on platforms without threads a stand-in that never stops.
// Gives   a report that holds nothing but the Problem "stopped": nobody can take it for a result
#pragma once

#include <version>
#ifdef __cpp_lib_jthread
#include <stop_token>
#endif

#include "base/problem.h"

namespace loomgraft {

#ifdef __cpp_lib_jthread
using StopToken = std::stop_token;
#else
struct StopToken {
  static constexpr bool stop_requested() { return false; }
};
#endif

Problem was_stopped();
bool is_stopped(const Problems& problems);

}  // namespace loomgraft
