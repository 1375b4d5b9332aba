// The smallest stock size of each added wire at which everything holds that a size can mend.
//
// Method  start from the smallest size the rules and terminals allow; solve; every wire that fails a check of
//         its own takes the next size, and for every consumer that gets too little the added wire that loses
//         most on its way does; until nothing fails. What fails even with the largest size everywhere is no
//         matter of size and is left out. Sizes only grow, so this ends. Then each that grew is tried smaller
//         again.
// Gives   one size per added wire, and what the next smaller size breaks
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "design/design.h"
#include "design/sizing_run.h"

namespace loomgraft::design {

struct ChosenSize {
  WireSize size;
  std::optional<CheckKind> limited_by;  // none: nothing but what is in stock
  std::string bound_words;
};

std::vector<WireSize> stock_sizes(const RuleBook& rules);

// Leaves the loaded runs of the trial solved at the chosen sizes. `settled` wires keep the size they have.
// Where `stop` asks for it on the way, the sizes are those reached by then.
std::map<std::string, ChosenSize> choose_sizes(Trial& trial, const std::vector<WireSize>& stock,
                                               const std::set<std::string>& settled = {},
                                               const std::stop_token& stop = {});

}  // namespace loomgraft::design
