// The figures and texts of a document, each on its own: what no vehicle can have is found here, whichever way it came in.
//
// Model   each figure of the document format has a range, in the unit of its name ("area_mm2"); texts hold no characters
//         that nobody sees (text/unseen.h). The ranges are wide: they are there for slips of a finger and for attacks, not
//         for judging a design (common sense, no source)
// Gives   an error Problem with its JSON pointer for each: bad-size, unseen-characters. Readings of meters have any value
// Cost    linear
#pragma once

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

Problems impossible_values(const Graft& graft);

}  // namespace loomgraft
