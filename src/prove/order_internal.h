// The order of work: whoever stops early stops well, and the whole takes little more than it must. For the folder only.
//
// Model   minimise the sum over the steps of minutes x (share of the odds not shown before the step + a floor). The share
//         makes what shows much in little time come early, with harmful faults counted several times; the floor makes the
//         whole short (docs/decisions.md). Dead conditions come first, each condition once
// Needs   a choice of tests that exposes what is to be exposed
// Gives   a sequence that exposes at least as much: tests may be exchanged for others. The same work gives the same
//         sequence on every machine: the search ends after so many operations, never by the clock
// Method  greedy by share per minute, then moves of one to three steps, of conditions, and exchanges of tests, while
//         they pay
#pragma once

#include <cstdint>
#include <vector>

#include "prove/hands_internal.h"

namespace loomgraft::prove {

struct OrderOptions {
  double floor = 0.0;           // as a share of the odds
  double harmful_counts = 1.0;  // times
  std::size_t effort = 0;       // operations
  bool exchange = true;         // of tests for others
};
// From data/prove_figures.csv.
OrderOptions default_order();

// Faults that the same tests expose, as one, and what each test exposes of them.
struct OrderClasses {
  std::size_t words = 0;                             // of 64 classes
  std::vector<double> weight;                        // by class: share of the odds, 1 in all
  std::vector<bool> harmful;                         // by class: any fault of it
  std::vector<std::uint64_t> bits;                   // by test, `words` each
  std::vector<std::vector<std::uint32_t>> tests_of;  // by class, rising

  std::size_t count() const { return weight.size(); }
  // The share of the odds that `test` adds to what is shown.
  double fresh(std::size_t test, const std::vector<std::uint64_t>& shown) const;
  void note(std::size_t test, std::vector<std::uint64_t>& shown) const;
  const std::uint64_t* of(std::size_t test) const { return bits.data() + test * words; }
};
OrderClasses order_classes(const HandWork& work, double harmful_counts);

// What an order costs by the model.
double cost_of(const HandWork& work, const OrderClasses& classes, std::span<const std::size_t> sequence,
               double floor);

// Where a test may come in a sequence: beside steps that share a point with it, and at either end of its condition.
std::vector<std::size_t> places_for(const HandWork& work, std::span<const std::size_t> sequence,
                                    std::size_t test);

std::vector<std::size_t> ordered(const HandWork& work, const std::vector<std::size_t>& chosen,
                                 const OrderOptions& options);

}  // namespace loomgraft::prove
