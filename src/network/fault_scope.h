// The part of the planned loom in which faults are looked for.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "network/frame.h"

namespace loomgraft {

struct FaultScope {
  const LoomFrame& frame;                // of the planned loom
  std::vector<const Wire*> wires{};      // those of LoomFrame::allowed that are in the scope, by id
  std::set<std::string> altered{};       // ids of those that the plan adds or moves
  std::vector<const Device*> devices{};  // that those wires end at
};

FaultScope fault_scope(const LoomFrame& frame, bool whole_loom);

}  // namespace loomgraft
