// Candidates measured under every fault, condition by condition. For the folder only.
#pragma once

#include <vector>

#include "base/stop.h"
#include "prove/bands.h"
#include "prove/candidates_internal.h"

namespace loomgraft::prove {

// The changes that one fault stands for, both included.
struct ChangeRange {
  std::size_t first = 0;
  std::size_t last = 0;
};

// One condition with what is needed to measure in it.
struct ConditionBench {
  LoomNetwork nominal;
  NetworkSolution solution;
  LoomNetwork weakest;
  LoomNetwork strongest;
  // With the fuse that each blows. A fault with a range of ohms has one for each end, and one between them where
  // the readings might turn on the way.
  std::vector<NetworkChange> changes;
  std::vector<ChangeRange> of_fault;  // by fault
};
tl::expected<ConditionBench, Problem> condition_bench(const ProveScope& scope,
                                                      const ProveCondition& condition,
                                                      const std::vector<Fault>& faults,
                                                      const StopToken& stop = {});

struct MeasuredTest {
  Candidate candidate;
  ReadingSpan span;
  ReadingRow under;  // by fault
};

// How close the best test for a fault comes to exposing it.
struct NearMiss {
  double clearance = 0.0;  // the shift over the width of the band; 0: nothing changes anywhere
  std::string test;        // what it shows, in words
};

// The candidates with bands and exposures filled in. Tests that expose nothing are left out and count only in
// `misses`.
tl::expected<std::vector<MeasuredTest>, Problem> measured(
    const MeterSheet& meter, const ConditionBench& bench, const std::vector<Fault>& faults,
    std::vector<Candidate> candidates, std::vector<NearMiss>& misses, const StopToken& stop = {});

}  // namespace loomgraft::prove
