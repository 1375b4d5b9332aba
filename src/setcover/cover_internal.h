// What the parts of cover() share.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "base/bits.h"
#include "setcover/cover.h"

namespace loomgraft::setcover {

// A problem without what can be left out, and how to return to the whole one. Set-ups that a forced test needs cost nothing.
struct ReducedCover {
  CoverProblem problem;
  std::vector<std::size_t> tests;   // of the whole problem, by position in the reduced one
  std::vector<std::size_t> forced;  // tests of the whole problem that every choice has
  double forced_minutes = 0.0;      // with their set-ups
};
ReducedCover reduced(const CoverProblem& problem);

// Greedy, then exchanges while they pay. Needs every fault exposed by some test.
std::vector<std::size_t> cover_start(const CoverProblem& problem);

struct CoverSearch {
  std::vector<std::size_t> tests;
  double bound = 0.0;
  bool optimal = false;
};
// Branch and cut from `start`; gives back `start` where it finds nothing better.
CoverSearch cover_search(const CoverProblem& problem, const std::vector<std::size_t>& start,
                         const CoverOptions& options);

// The tests that expose each fault, rising.
std::vector<std::vector<std::uint32_t>> exposed_by(const CoverProblem& problem);

}  // namespace loomgraft::setcover
