// A table of the file with the roles of its columns, to be shown to a person.
//
// Gives   a name, role and, where there is one, a doubt for each column, and the first rows as they stand.
//         Its line and where its pins went are for the caller to fill in
#pragma once

#include "gather/column_roles.h"
#include "gather/read_tables.h"

namespace loomgraft::gather {

TablePreview preview_of(const Table& table, const ColumnPlan& plan, std::size_t rows_shown);

}  // namespace loomgraft::gather
