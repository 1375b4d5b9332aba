// Hypotheses and their odds after the readings so far. Only find/ includes this.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "base/stop.h"
#include "find/find.h"

namespace loomgraft::find {

struct Observed {
  std::size_t test = 0;
  double value = 0.0;
  std::string id;  // of the reading
  int times = 1;   // readings of this test that confirm each other
};

// What is wrong with the loom: nothing, one fault or two.
struct WeighedHypothesis {
  std::vector<std::size_t> faults;
  double odds = 0.0;                 // after the readings; all together 1
  std::size_t group = 0;             // hypotheses of one group need the same repairs
  std::vector<std::size_t> outside;  // readings that it does not explain
};

// What a test shows under a hypothesis: the possible interval and the most likely reading.
struct Prediction {
  Band band;
  double likely = 0.0;
  bool operator==(const Prediction& other) const {
    return band.low == other.band.low && band.high == other.band.high && likely == other.likely;
  }
};

// A fault whose interval is not clear of the healthy one may leave the reading as it is: the hull of both. Of two faults
// the interval of the one that is clear; if both are, the hull of both, which is an approximation.
Prediction shown_under(const Proof& proof, const WeighedHypothesis& hypothesis, std::size_t test);
Prediction shown_under_fault(const Proof& proof, std::size_t fault, std::size_t test);

// How well a reading fits an interval: 1 inside, falling to zero shortly beyond its ends. Anything above the
// meter's range is one reading.
double fit_of(double value, const Band& band, double over_range);

// Below this a reading does not fit.
inline constexpr double smallest_fit = 0.5;

// The readings, by position, that a hypothesis does not explain.
std::vector<std::size_t> outside_of(const Proof& proof, const std::vector<Observed>& observed,
                                    const WeighedHypothesis& hypothesis);

// All hypotheses with their odds, in the order: no fault, faults, pairs. Needs the readings in the order
// of their tests, so that sums come out the same to the last bit; `priors` by fault, together 1.
std::vector<WeighedHypothesis> weighed_hypotheses(const Proof& proof, const std::vector<Observed>& observed,
                                                  const std::vector<double>& priors,
                                                  const FindOptions& options);

double entropy_of(const std::vector<WeighedHypothesis>& hypotheses);

// A test that may be taken next, and what it takes from here.
struct PossibleTest {
  std::size_t test = 0;
  double minutes = 0.0;  // above zero
};

// The candidates with the largest expected loss of entropy over groups per minute, best first: at most `count` of them,
// which is above zero, and none with less than `smallest` bits. Without text.
std::vector<NextTest> most_informative(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                       std::vector<PossibleTest> candidates, double smallest,
                                       std::size_t count, const StopToken& stop = {});

}  // namespace loomgraft::find
