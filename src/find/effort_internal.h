// What it takes to get from the last reading to a test: the state of the vehicle, places to open, leads to move. Only
// find/ includes this.
//
// Model   a condition's own minutes (data/probe_minutes.csv through the plan), plus what the plan counts in another
//         condition that comes before it: the battery off and the plugs apart before every part is out; plugs apart
//         again after they were mated; fuses back in their holders. A lead that is at its point already stays
// Gives   minutes, at least those of taking the reading
#pragma once

#include <cstddef>
#include <optional>
#include <set>

#include "prove/prove.h"

namespace loomgraft::find {

class Effort {
 public:
  // `last`: test of the last reading, none at the start; `opened`: accesses opened so far.
  Effort(const ProveReport& report, std::optional<std::size_t> last, std::set<std::size_t> opened);

  double minutes_to(const ProveTest& test) const;

 private:
  double to_condition(std::size_t condition) const;
  double kept_leads(const ProveTest& test) const;

  const ProveReport& report_;
  std::optional<std::size_t> last_;
  std::set<std::size_t> opened_;
  std::vector<double> conditions_;  // minutes to each from here
};

}  // namespace loomgraft::find
