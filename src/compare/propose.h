// The plan that a comparison asks for, written into a copy of the graft.
//
// Model   every wire of the found module's plugs that the document does not have yet becomes a wire as found,
//         with an open far end; then each change of the comparison (CompareReport::changes, from which the
//         moves come too) becomes a step: a shift moves the wire's end, a retirement and a clash take the wire
//         out, with what the vehicle loses by it as the reason; what the donor needs and the loom lacks is a wire to add, its far
//         end open until a person says where it goes
// Needs   ids of a found and a donor module of the graft
// Gives   wires and steps with the reason of each; what the plan had already is kept, and a cavity that it
//         serves is not served again, so that proposing twice changes nothing
// Fails   a donor connector whose name the loom does not have: a Problem, and its pins are left out
#pragma once

#include <string>

#include "compare/compare.h"
#include "loom/graft.h"

namespace loomgraft {

struct Proposal {
  Graft graft;
  std::size_t moves = 0;  // steps added
  std::size_t additions = 0;
  std::size_t retirements = 0;
  Problems problems;
};

Proposal propose_plan(const Graft& graft, const std::string& found, const std::string& donor);

}  // namespace loomgraft
