// Overlay of a further source on a module that the document has already.
//
// Model   the facts of each cavity count as stated by its first source, or as a person has set them since;
//         the new source is added as gather_module() combines sources. Facts that no pin table has (limits, a
//         terminal seen, a connector's geometry) stay.
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

struct OverlaidGraft {
  Graft graft;
  Problems problems;
};

OverlaidGraft overlay_source(Graft graft, const std::string& module, const SourceTables& source);

}  // namespace loomgraft
