// Tables that list two or more pins in a row: "Pin | Use | Pin | Use".
//
// Model   the columns fall into groups of the same width, each of which begins with a column of cavities; no cavity
//         stands in two groups. (The two ends of a cable share what is said of them, so their columns are no groups.)
// Gives   the table with its groups below each other; nothing where it is not of that form
#pragma once

#include <optional>

#include "tables/table.h"

namespace loomgraft::gather {

std::optional<Table> stack_table(const Table& table);

}  // namespace loomgraft::gather
