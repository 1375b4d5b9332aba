// Hypotheses and what the readings so far make of them. Only find needs this.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "prove/find.h"

namespace loomgraft {

struct Observed {
  std::size_t test = 0;
  double value = 0.0;
  std::string id;  // of the reading
};

// A state of the loom: nothing wrong, one fault, two.
struct Suspicion {
  std::vector<std::size_t> faults;
  double odds = 0.0;                 // after the readings; all together 1
  std::size_t group = 0;             // suspicions of one group are mended alike
  std::vector<std::size_t> outside;  // observations that it does not explain
};

// The interval that a test shows under a suspicion. Of two faults of which one leaves the healthy band, that
// one's; where both do, from the lowest to the highest of both: an approximation.
Band shown_under(const Proof& proof, const Suspicion& suspicion, std::size_t test);

// How well a reading fits an interval: 1 inside, falling to nothing within the meter's last digits.
double fit_of(double value, const Band& band, const std::string& unit);

// All suspicions with their odds, in the order: nothing, faults, pairs. The order of the readings does not
// matter.
std::vector<Suspicion> suspicions_of(const Proof& proof, const std::vector<Observed>& observed,
                                     const std::vector<double>& priors, const FindOptions& options);

// Expected loss of entropy over groups by one test, in bits.
double bits_of_test(const Proof& proof, const std::vector<Suspicion>& suspicions, std::size_t groups,
                    std::size_t test);

double entropy_of(const std::vector<Suspicion>& suspicions, std::size_t groups);

}  // namespace loomgraft
