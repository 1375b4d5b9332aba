// Turns tables that list their cavities across a row, so that all other code reads rows.
#pragma once

#include <optional>

#include "tables/table.h"

namespace loomgraft::gather {

// "Pin | 9 | 10 | 11", "Signal | GND | ...", possibly with a second band of cavities further down. nullopt
// where the table is not of that form.
std::optional<Table> turn_table(const Table& table);

}  // namespace loomgraft::gather
