// The relay of the catalogue for a supply and a load.
//
// Gives   the model that pulls in at the lowest voltage and carries the load; empty if there is none
#pragma once

#include <string>

#include "units/quantity.h"

namespace loomgraft {

std::string relay_for(Volts supply, Amperes load);

}  // namespace loomgraft
