// The cheapest set of tests that exposes every fault, with what it costs to set them up.
//
// Model   minimise the minutes of the chosen tests plus those of each set-up (a condition brought about, a place
//         opened) that any of them needs, so that at least one chosen test exposes every fault:
//         weighted set cover with set-up costs
// Needs   minutes >= 0 and finite; positions within the problem. A fault that no test exposes is left out.
// Gives   the chosen tests in rising order, their minutes, a lower bound for any choice, and whether
//         the choice is proven the cheapest. The same problem gives the same choice on every machine: search
//         stops after so many nodes, never after so many seconds.
// Fails   never: if the search stops early, the best choice so far is given with its bound
// Method  reductions (equal and dominated faults, dominated and forced tests), greedy with exchanges for a
//         start, then branch and cut (binary_program.h): docs/prove.md
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace loomgraft {

struct CoverTest {
  double minutes = 0.0;
  std::vector<std::uint32_t> setups;
  std::vector<std::uint32_t> exposes;  // rising
};

struct CoverProblem {
  std::size_t faults = 0;
  std::vector<double> setup_minutes;
  std::vector<CoverTest> tests;
};

struct CoverOptions {
  int nodes = 400;           // of the branch and cut search
  double good_enough = 0.0;  // stop at this share above the bound; 0 searches on for proof
};

struct CoverPlan {
  std::vector<std::size_t> tests;
  double minutes = 0.0;
  double bound = 0.0;
  bool optimal = false;
};

CoverPlan cover(const CoverProblem& problem, const CoverOptions& options = {});

// True for each test unless another exposes as much at no higher cost.
std::vector<bool> undominated(const CoverProblem& problem);

// What a choice costs.
double minutes_of(const CoverProblem& problem, const std::vector<std::size_t>& chosen);

}  // namespace loomgraft
