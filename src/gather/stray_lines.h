// Lines outside the tables that name a cavity which no row has: a last row after a remark, "all four (19, 29, 30,
// 31) are earths".
//
// Gives   a Problem for each such line: a warning ("line-not-read") where it looks like a row of the table it stands
//         beside, a note of the same code where it only mentions the cavity
// Cost    linear
#pragma once

#include <string>
#include <vector>

#include "base/problem.h"
#include "gather/read_tables.h"
#include "tables/table.h"

namespace loomgraft::gather {

void report_stray_lines(const TableText& text, const std::vector<PinTable>& read, const std::string& file,
                        Problems& problems);

}  // namespace loomgraft::gather
