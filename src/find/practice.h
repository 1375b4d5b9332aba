// What every test would show on a loom with one planted fault: to practise on, and to see what a fault does.
//
// Gives   one reading of each test, in the order and the units of the tests, as a meter shows it: the
//         reading of a sound loom where the fault does not show, else the middle of its interval; over range
//         as over_range_reading
// Fails   an empty list for a fault that the proof does not know
#pragma once

#include <string_view>
#include <vector>

#include "loom/graft.h"
#include "prove/prove.h"

namespace loomgraft {

// How "over range" is recorded.
inline constexpr double over_range_reading = 1e9;

// `fault` empty: a sound loom.
std::vector<Reading> practice_readings(const Proof& proof, std::string_view fault);

}  // namespace loomgraft
