// What the working current of each circuit makes of its faults: from how many ohms a bad joint matters, whether a
// thin wire does, and what burns where a fuse of a higher rating would not blow.
//
// Model   everything on, at the highest supply and with the lowest resistances. A joint of R ohms in a circuit of I amperes
//         and V volts, whose own resistance is V / I, gives off I² R / (1 + R I / V)² watts. It matters from the smallest R
//         that gives off joint_matters_w, takes joint_drop_share of the supply from the circuit, or shifts an input
//         by input_shift_v (data/network_figures.csv); never below joint_from_ohm
// Needs   the frame of the planned loom, in which the faults were found
// Gives   each bad joint as one fault for each range of ohms from there to joint_up_to_ohm, with its heat, its prior shared by
//         the logarithm of the range, and the same repair; before these one with fewer ohms, which does not matter but
//         explains what a meter shows; no thin wire where its drop does not matter; harm of
//         hot joints, thin wires and higher fuses. Priors sum to one
// Fails   never: a loom without a solution keeps its faults as they are
#pragma once

#include <vector>

#include "base/stop.h"
#include "network/faults.h"

namespace loomgraft {

std::vector<Fault> with_working_currents(const LoomFrame& frame, std::vector<Fault> faults,
                                         const StopToken& stop = {});

// The formulae of the model, for a circuit of `volts` and `current` > 0.
Watts heat_of_joint(Volts volts, Amperes current, Ohms joint);
// Where no joint gives off so much or takes so large a share, that limit is left out; infinity if neither is reached.
Ohms smallest_that_matters(Volts volts, Amperes current, Watts heat, double drop_share);

}  // namespace loomgraft
