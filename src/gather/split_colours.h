// Colours written before or behind the signal in one cell: "Red/White ignition feed", "Earth (black)".
//
// Model   one form for a whole column: nearly all of its cells begin with a colour, or end with one in brackets,
//         and have words besides
// Gives   the table with these colours in a column of their own behind it; nothing where no column is of that form
// Cost    the first few hundred rows decide
#pragma once

#include <optional>

#include "tables/table.h"

namespace loomgraft::gather {

std::optional<Table> split_colours(const Table& table);

}  // namespace loomgraft::gather
