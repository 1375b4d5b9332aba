// Which tables of a file make up one module: a file may hold the connectors of one module one after another,
// or several modules side by side.
//
// Model   tables that describe the same cavities of the same connector are rivals: different modules, or
//         generations of one. Tables without common cavities belong together.
// Gives   the tables of the module named, or of the first one where none is named, with a warning that names
//         the others
// Fails   a name that no table has: an error Problem that lists the names there are
#pragma once

#include <string>
#include <vector>

#include "gather/read_tables.h"

namespace loomgraft {

struct ChosenTables {
  std::vector<PinTable> tables;
  Problems problems;
};

ChosenTables choose_tables(const std::vector<PinTable>& tables, const std::string& wanted,
                           const std::string& file);

}  // namespace loomgraft
