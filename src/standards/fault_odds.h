// How often each kind of fault is met, as relative weights (data/faults.csv).
//
// Gives   weights for a wire that was just added or moved, and for one that was there; > 0
// Fails   an unknown kind is a bug: std::logic_error
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

struct FaultOdds {
  std::string kind;
  std::string text;
  double new_weight = 0.0;
  double old_weight = 0.0;
  std::string source;
  std::string status;
};

const FaultOdds& fault_odds(std::string_view kind);

}  // namespace loomgraft
