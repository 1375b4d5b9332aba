// A further source of a module that the document has already, laid over what it says.
//
// Model   what the document says of each cavity stands as its first source said it, or as a person set it
//         since; the new source is laid over it as gather_module() lays sources over each other. Facts that
//         no pin table has (limits, a terminal seen, a connector's geometry) stay.
// Needs   `module` is one of the graft's, and the source's id is new
// Gives   the graft with the source, its claims, the cavities and connectors that were not there, and a doubt
//         where it disagrees
// Fails   as gather_module()
// Cost    linear in the module's pins
#pragma once

#include <string>

#include "gather/read_tables.h"
#include "loom/graft.h"

namespace loomgraft {

struct LaidOver {
  Graft graft;
  Problems problems;
};

LaidOver lay_over(Graft graft, const std::string& module, const SourceTables& source);

}  // namespace loomgraft
