// Cells of a data table as values.
//
// Model   a cell "a|b" holds the figure of a 12 V and of a 24 V vehicle; an empty cell is no figure
// Fails   a cell that is no number is a bug of the data file: std::logic_error
#pragma once

#include <optional>
#include <string_view>

#include "standards/data_table.h"
#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft {

double number_cell(std::string_view text);
std::optional<double> figure_cell(std::string_view text, SystemVolts system);

// The columns low, typical, high, unit, source and status of a row.
Figure figure_row(const DataTable& table, std::size_t row, SystemVolts system);

}  // namespace loomgraft
