// A made-up test plug: a resistor from each cavity of a module's plug to a common lead on the body.
//
// Model   with it in the loom's plug, the resistance from the far end of any wire to the body tells which cavity the wire
//         leads to, so that one lead stays on the body and nobody goes back and forth. Values are of one series of IEC
//         60063 (data/prove_figures.csv), rising cavity by cavity
// Needs   at least `test_plug_from` wires of the plug in the scope
// Gives   the resistors, what it takes to make, and what it saves: the plan without it against the plan with it
// Fails   never: a plug with more cavities than the series has values leaves the last ones without a resistor
#pragma once

#include <string>
#include <vector>

#include "prove/prove.h"

namespace loomgraft {

// Of the series, from the smallest used: 330 Ω, 470 Ω, 680 Ω, 1 kΩ ... of E6, or of E12 where more than those are needed.
std::vector<Ohms> test_plug_series(std::size_t count);

}  // namespace loomgraft
