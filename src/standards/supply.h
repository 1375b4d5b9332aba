// The vehicle's supply at its highest charging voltage, one figure for networks, designs and contention: the
// highest of running_v in data/network_figures.csv.
#pragma once

#include "standards/pin_states.h"

namespace loomgraft {

Volts supply_volts(SystemVolts system);  // 14.8 V or 29.6 V

}  // namespace loomgraft
