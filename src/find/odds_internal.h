// Suspicions and what the readings so far make of them. Only find needs this.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "find/find.h"

namespace loomgraft::find {

struct Observed {
  std::size_t test = 0;
  double value = 0.0;
  std::string id;  // of the reading
  int times = 1;   // readings of this test that confirm each other
};

// A state of the loom: nothing wrong, one fault, two.
struct Suspicion {
  std::vector<std::size_t> faults;
  double odds = 0.0;                 // after the readings; all together 1
  std::size_t group = 0;             // suspicions of one group are mended alike
  std::vector<std::size_t> outside;  // observations that it does not explain
};

// What a test shows under a suspicion: what it can show, and what it most likely does.
struct Outlook {
  Band band;
  double likely = 0.0;
  bool operator==(const Outlook& other) const {
    return band.low == other.band.low && band.high == other.band.high && likely == other.likely;
  }
};

// A fault whose interval is not clear of the healthy one shows what a sound loom does, and may go as far as
// its own. Of two faults of which one is clear, that one's; where both are, from the lowest to the highest of
// both: an approximation.
Outlook shown_under(const Proof& proof, const Suspicion& suspicion, std::size_t test);
Outlook shown_under_fault(const Proof& proof, std::size_t fault, std::size_t test);

// How well a reading fits an interval: 1 inside, falling to nothing close beyond its ends. Anything above the
// meter's range is one reading.
double fit_of(double value, const Band& band, double over_range);

// Below this an observation does not fit.
inline constexpr double least_fit = 0.5;

// The observations, by position, that a suspicion does not explain.
std::vector<std::size_t> outside_of(const Proof& proof, const std::vector<Observed>& observed,
                                    const Suspicion& suspicion);

// All suspicions with their odds, in the order: nothing, faults, pairs. Needs the observations in the order
// of their tests, so that sums come out the same to the last bit; `priors` by fault, together 1.
std::vector<Suspicion> suspicions_of(const Proof& proof, const std::vector<Observed>& observed,
                                     const std::vector<double>& priors, const FindOptions& options);

double entropy_of(const std::vector<Suspicion>& suspicions);

// A test that may be taken next, and what it takes from here.
struct PossibleTest {
  std::size_t test = 0;
  double minutes = 0.0;  // above zero
};

// The candidates with the most expected loss of entropy over groups a minute, best first: at most `count` of
// them, which is above zero, and none that tells less than `least` bits. Without words.
std::vector<NextTest> most_telling(const Proof& proof, const std::vector<Suspicion>& suspicions,
                                   std::vector<PossibleTest> candidates, double least, std::size_t count,
                                   const std::stop_token& stop = {});

}  // namespace loomgraft::find
