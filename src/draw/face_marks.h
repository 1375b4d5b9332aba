// The wires in the cavities of a plug: as found with the verdicts of the comparison, or as planned with the
// changes of the plan.
//
// Needs   face_marks: `report` compares `module` as the found one; an empty report marks nothing
// Gives   face_marks: a mark for each cavity with a wire, and for each that the donor needs and the loom has
//         empty. planned_face_marks: the wires of the planned loom; add where one is new, shift where it came
//         from another cavity, retire where the plan leaves the cavity empty. A cavity whose wire the
//         document does not follow is drawn as its pin table states
// Cost    linear in pins, wires and steps, but for their look-up by name
#pragma once

#include <vector>

#include "compare/compare.h"
#include "draw/face.h"

namespace loomgraft {

std::vector<FaceMark> face_marks(const Connector& plug, const Module& module, const CompareReport& report);

std::vector<FaceMark> planned_face_marks(const Graft& graft, const Connector& plug);

}  // namespace loomgraft
