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
  std::string id;        // of the reading
  int times = 1;         // readings of this test that confirm each other
  bool differs = false;  // another reading of this test contradicts it
};

// How far a slip may be off: a digit misread, or a touch that adds ohms. Upwards and downwards.
struct SlipReach {
  double up = 0.0;
  double down = 0.0;
};
SlipReach slip_reach(double value, const std::string& unit);

// What is wrong with the loom: nothing, one fault or two.
struct WeighedHypothesis {
  std::vector<std::size_t> faults;
  double odds = 0.0;                 // after the readings; all together 1
  std::size_t group = 0;             // hypotheses of one group need the same repairs
  std::vector<std::size_t> outside;  // readings that it does not explain
};

// What a test shows under a hypothesis: the readings that are possible, and the narrower interval from which one is
// drawn evenly, or by ratio for a joint whose resistance may lie anywhere over decades.
struct Prediction {
  Band band;
  Band drawn;
  bool by_ratio = false;
  bool operator==(const Prediction& other) const {
    return band.low == other.band.low && band.high == other.band.high && drawn.low == other.drawn.low &&
           drawn.high == other.drawn.high && by_ratio == other.by_ratio;
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

// Whether a hypothesis counts in entropies: hypotheses less likely than the likeliest by a factor of a thousand do not
// choose the next test, nor pairs by one of fifty. Any fault may have a second one beside it; only a pair that explains
// more readings than either of its faults is worth a test. While those that explain every reading hold a tenth of the
// odds, only they count: whether a reading was a misreading is decided by repeating it, not by another test.
class Counted {
 public:
  enum class Which { explaining, all };
  explicit Counted(const std::vector<WeighedHypothesis>& hypotheses, Which which = Which::explaining);
  bool operator()(const WeighedHypothesis& one) const;
  bool only_explaining() const { return only_explaining_; }

 private:
  bool only_explaining_ = false;
  double most_ = 0.0;
  std::vector<std::size_t> unexplained_;  // by fault alone: readings; the most there are where it was dropped
};

// Over the groups of the hypotheses that count.
double entropy_of(const std::vector<WeighedHypothesis>& hypotheses);

// A test that may be taken next, and what it takes from here.
struct PossibleTest {
  std::size_t test = 0;
  double minutes = 0.0;  // above zero
  NextReason reason = NextReason::information;
  double before = 0.0;  // what it read last, unless it is a new test
};

// The candidates with the largest expected loss of entropy over groups per minute, best first: at most `count` of them,
// which is above zero, and none with less than `smallest` bits. A new test counts over the hypotheses that explain
// every reading, as entropy_of() does: another test of the same branch, whose outcome follows from the
// readings so far, brings nothing. A repeat counts over all, since it decides whether a reading was a misreading; hypotheses that explain
// the last reading expect the same again.
// Nor does a new test of which the suspects show the same pattern as in one of those `measured`: those that one reading
// of a current in series could not tell apart, another of it does not either. Without text.
std::vector<NextTest> most_informative(const Proof& proof, const std::vector<WeighedHypothesis>& hypotheses,
                                       std::vector<PossibleTest> candidates, double smallest,
                                       std::size_t count, double misread, const StopToken& stop = {},
                                       const std::vector<std::size_t>& measured = {});

}  // namespace loomgraft::find
