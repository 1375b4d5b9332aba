// Names of the pin tables of one file, and of plugs that only their headings tell apart.
#pragma once

#include <string>
#include <vector>

#include "gather/read_tables.h"

namespace loomgraft::gather {

// Tables under different headings that list the same cavities describe different plugs, whose names the headings are.
// `titles` has the heading of each table; one that is empty tells nothing apart.
void name_plugs_by_title(std::vector<PinTable>& tables, const std::vector<std::string>& titles);

// A table is asked for by its name, so no two may have the same: the second becomes "NAME (2)".
void make_names_unique(std::vector<PinTable>& tables);

}  // namespace loomgraft::gather
