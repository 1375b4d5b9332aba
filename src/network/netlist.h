// A circuit as a SPICE netlist, element for element, so that another solver can check the operating point.
//
// Gives   a deck that ngspice runs in batch mode unchanged: a title, the elements with the same piecewise-
//         linear laws, and a control block that prints every node's voltage with all digits
// Needs   `start`, where given, belongs to the circuit: ngspice begins its search there. Its Newton method
//         has no line search and oscillates between the limits of a source that drives a high resistance; as
//         the laws are strictly monotone there is one operating point, so a start cannot make a wrong answer
//         pass.
// Cost    linear
#pragma once

#include <string>

#include "circuit/circuit.h"
#include "network/loom_network.h"

namespace loomgraft {

std::string netlist(const Circuit& circuit, const OperatingPoint* start = nullptr);

// The same with the name of each node and element in comments. Relays are in the positions of the network:
// after solve(), as solved.
std::string netlist(const LoomNetwork& network, const OperatingPoint* start = nullptr);

}  // namespace loomgraft
