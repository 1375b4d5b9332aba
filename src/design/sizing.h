// The smallest stock size of each added wire at which every check passes that a size can make pass.
//
// Method  start from the smallest size the rules and terminals allow; solve; every wire that fails a check of
//         its own takes the next size, and for every consumer that gets too little so does the added wire with
//         the largest drop on its path; until nothing fails. What fails even with the largest size everywhere
//         is left out. Sizes only grow, so this ends. Then each wire that grew is tried a size smaller.
// Gives   one size per added wire, and the check that the next smaller size would fail
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/stop.h"
#include "design/design.h"
#include "design/sizing_run.h"

namespace loomgraft::design {

struct ChosenSize {
  WireSize size;
  std::optional<CheckKind> limited_by;  // none: there is no smaller one in stock
  std::string limited_by_text;
};

std::vector<WireSize> stock_sizes(const RuleBook& rules);

// Leaves the loaded load cases solved at the chosen sizes. `fixed` wires keep the size they have. If `stop` asks for it
// on the way, the sizes are those reached by then.
std::map<std::string, ChosenSize> choose_sizes(SizingRun& run, const std::vector<WireSize>& stock,
                                               const std::set<std::string>& fixed = {},
                                               const StopToken& stop = {});

}  // namespace loomgraft::design
