// What every test would show on a loom with one fault planted: to practise on, and to see what a fault does.
//
// Gives   one reading of each test, in the order and the units of the tests, as a meter shows it: what a
//         sound loom shows where the fault does not tell, else the middle of what it can show; over range as
//         over_range_reading
// Fails   an empty list for a fault that the proof does not know
#pragma once

#include <string_view>
#include <vector>

#include "loom/graft.h"
#include "prove/prove.h"

namespace loomgraft {

// How a meter that shows that it cannot measure so much is written down.
inline constexpr double over_range_reading = 1e9;

// `fault` empty: a sound loom.
std::vector<Reading> practice_readings(const Proof& proof, std::string_view fault);

}  // namespace loomgraft
