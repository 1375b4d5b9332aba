// Rows of the tables that list states of pins: data/pin_classes.csv and data/contention_corners.csv.
//
// Needs   columns class, side, state, key, leads_to, volts, ohm_low, ohm_high, limit_a, one_way, inductance_h
// Fails   an unknown name or a missing figure is a bug of the data file: std::logic_error
#pragma once

#include "standards/data_table.h"
#include "standards/pin_states.h"

namespace loomgraft {

PinState pin_state_row(const DataTable& table, std::size_t row, SystemVolts system);
PinClass pin_class_of_row(const DataTable& table, std::size_t row);
PinSide pin_side_of_row(const DataTable& table, std::size_t row);

}  // namespace loomgraft
