// Which of many modules on offer fits with the smallest work and risk.
//
// Model   the cost of a donor is the cost of its full comparison in points (donor/cost.h): hazards,
//         additions by kind, shifts, retirements, unsure circuits, missing hardware, and tags that do not
//         match. Answers of people about pairs of pins (DonorLibrary::add) count as they do there.
// Gives   the `best` cheapest donors in order, ties to the earlier one; for each the cost and how it is made
//         up. The answer is that of comparing every module in full.
// Method  a lower bound of each cost, computed pin by pin; then full comparisons in the order of the bounds
//         until no bound is below the worst of the best: docs/engine.md, "Ranking donors"
// Cost    about a microsecond a module of 100 pins, and a full comparison for the few that the bound leaves
//         open
#pragma once

#include <string>
#include <vector>

#include "base/stop.h"
#include "compare/compare.h"
#include "donor/cost.h"
#include "donor/library.h"

namespace loomgraft {

struct RankOptions {
  std::size_t best = 20;
  MatchOptions match;
  DonorCosts costs = donor_costs();
  bool in_full =
      false;  // compare every module, with no bound: the reference that the bound is tested against
  StopToken stop{};
};

struct RankedDonor {
  std::size_t donor = 0;  // position in the library
  std::string id;
  std::string name;
  double cost = 0.0;
  Summary summary;
  int fire = 0, injury = 0, damage = 0, false_signal = 0;  // circuits with such a hazard
  double tag_cost = 0.0;
  std::vector<TagFinding> tags;
};

struct RankReport {
  std::vector<RankedDonor> donors;
  std::size_t considered = 0;
  std::size_t compared_in_full = 0;
  bool stopped = false;  // stopped by options.stop: the rest of the report is empty
};

// `keys` is the table that the library was made with.
RankReport rank(const Module& found, const Graft& graft, KeyTable& keys, const DonorLibrary& library,
                const RankOptions& options = {});

}  // namespace loomgraft
