// Lines near a table that say which circuits another controller uses too.
//
// Model   "shared circuits: A (C3-6) and B are also read by the gearbox controller", "Shared with X: A, B",
//         and prose ("the A wire and the B wire also go to the gearbox box") where X names a controller and A
//         or B a pin of the table
// Gives   one entry for each circuit, with its pin where the table has it: by its cavity, its wording or its
//         term. What a headed line names and the table lacks is kept with its wording
// Fails   never: what is not recognised is prose
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "gather/read_tables.h"
#include "tables/table.h"

namespace loomgraft::gather {

// The line that a row of the table makes where its first cell begins such a list; empty where it does not.
std::string shared_line_of(const std::vector<Cell>& row);

std::vector<TableShared> read_shared_line(std::string_view line, const std::vector<TablePin>& pins);

}  // namespace loomgraft::gather
