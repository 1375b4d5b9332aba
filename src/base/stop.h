// What a long piece of work says when somebody asked it to stop.
//
// Model   a stage takes a std::stop_token among its options (the usual one never stops) and looks at it
//         between the steps of its loops
// Gives   a report that holds nothing but this Problem: nobody can take it for a result
#pragma once

#include <stop_token>

#include "base/problem.h"

namespace loomgraft {

Problem was_stopped();
bool is_stopped(const Problems& problems);

}  // namespace loomgraft
