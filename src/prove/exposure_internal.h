// Candidates measured under every fault, state by state. For the folder only.
#pragma once

#include <vector>

#include "prove/bands.h"
#include "prove/candidates_internal.h"

namespace loomgraft::prove {

// One state with what is needed to measure in it.
struct StateBench {
  LoomNetwork nominal;
  NetworkSolution solution;
  LoomNetwork weakest;
  LoomNetwork strongest;
  std::vector<NetworkChange> changes;  // by fault; with the fuse that it blows
};
tl::expected<StateBench, Problem> state_bench(const ProveScope& scope, const ProveState& state,
                                              const std::vector<Fault>& faults,
                                              const std::stop_token& stop = {});

struct MeasuredTest {
  Candidate candidate;
  ReadingSpan span;
  std::vector<Band> under;  // by fault
};

// How far each fault's best test is from exposing it.
struct NearMiss {
  double clearance = 0.0;  // the shift over the width of the band; 0: nothing changes anywhere
  std::string test;
};

// Bands and exposures filled in. Tests that expose nothing are left out, and counted in `misses` alone.
tl::expected<std::vector<MeasuredTest>, Problem> measured(const MeterSheet& meter, const StateBench& bench,
                                                          const std::vector<Fault>& faults,
                                                          std::vector<Candidate> candidates,
                                                          std::vector<NearMiss>& misses,
                                                          const std::stop_token& stop = {});

}  // namespace loomgraft::prove
