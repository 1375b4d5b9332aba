// A lower bound of a donor's cost, from each of its pins alone.
//
// Model   every donor pin is served by the wire in its own place, by a wire from elsewhere, or by a new one;
//         the cheapest of these that is possible at all, with the hazard that goes with it, is counted for
//         each pin alone
// Gives   a figure that the full comparison's cost never undercuts
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "compare/match.h"
#include "donor/cost.h"
#include "donor/library.h"

namespace loomgraft::donor {

class DonorBound {
 public:
  DonorBound(const ModuleKey& found, const FunctionTable& functions, const MatchOptions& options,
             const DonorCosts& costs, Volts supply);

  // Without the tags. `plugs` is the donor's own map.
  double of(std::span<const PinKey> pins, const PlugMap& plugs);

 private:
  struct Row {
    bool ready = false;
    bool may_be_served =
        false;  // some wire of the loom is alike enough to serve such a pin, wherever it sits
  };
  struct InPlace {
    double cost = 0.0;
    double hazard = 0.0;
    bool may_be_served = false;
  };
  const Row& row(FunctionId function);
  int found_at(std::uint16_t plug, std::uint32_t cavity) const;
  InPlace in_place(std::size_t f, const PinKey& donor, double elsewhere) const;

  const ModuleKey& found_;
  const FunctionTable& functions_;
  const MatchOptions& options_;
  const DonorCosts& costs_;
  Volts supply_;
  std::vector<std::vector<int>> places_;          // by found connector and cavity: found pin, or -1
  std::vector<FunctionId> found_functions_;       // distinct
  std::vector<std::uint32_t> found_function_of_;  // by found pin: position in found_functions_
  std::vector<double> similarity_;                // by donor function, then by found function
  std::vector<Row> rows_;                         // by donor function
  int live_count_ = 0;                            // found pins with a wire and a function
  std::vector<std::uint32_t> stamps_;             // by found pin: the donor that charged its hazard last
  std::uint32_t stamp_ = 0;
};

}  // namespace loomgraft::donor
