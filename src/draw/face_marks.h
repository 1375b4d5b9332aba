// What stands in the cavities of a module's plug, and what the comparison says happens to each.
//
// Needs   `report` compares `module` as the found one; an empty report marks nothing
// Gives   a mark for each cavity with a wire, and for each that the donor needs and the loom has empty
#pragma once

#include <vector>

#include "compare/compare.h"
#include "draw/face.h"

namespace loomgraft {

std::vector<FaceMark> face_marks(const Connector& plug, const Module& module, const CompareReport& report);

}  // namespace loomgraft
