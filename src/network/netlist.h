// A circuit as a SPICE netlist, element for element, so that another solver can check the operating point.
//
// Gives   a deck that ngspice runs in batch mode unchanged: a title, the elements with the same piecewise-
//         linear laws, and a control block that prints every node's voltage with all digits
// Cost    linear
#pragma once

#include <string>

#include "network/circuit.h"

namespace loomgraft {

std::string netlist(const Circuit& circuit);

}  // namespace loomgraft
