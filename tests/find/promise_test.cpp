// What the search promises against what it delivers: a smaller run of bench/find.cpp.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "find/odds_internal.h"
#include "find/practice.h"
#include "tests/find/walk.h"
#include "tests/network/random_loom.h"

namespace loomgraft::find_promise_test {
namespace {

double drawn_between(std::mt19937_64& random, double low, double high) {
  return low + (high - low) * static_cast<double>(random() >> 11) * 0x1p-53;
}

double drawn_as(std::mt19937_64& random, const find::Prediction& expected) {
  const auto [low, high] = expected.drawn;
  if (!expected.by_ratio) return drawn_between(random, low, high);
  return std::exp(drawn_between(random, std::log(low), std::log(high)));
}

// By the priors, as the search expects.
std::size_t drawn_fault(const Proof& proof, std::mt19937_64& random) {
  double sum = 0.0;
  for (const Fault& fault : proof.report.faults) sum += fault.prior;
  double at = drawn_between(random, 0.0, sum);
  std::size_t fault = 0;
  while (fault + 1 < proof.report.faults.size() && at >= proof.report.faults[fault].prior)
    at -= proof.report.faults[fault++].prior;
  return fault;
}

TEST(Promise, IsWhatIsDeliveredOnAverage) {
  ProveOptions proving;
  proving.faults.whole_loom = true;
  const Proof proof = prove_loom(samples::random_loom(8, 4, 12.0).graft, proving);
  std::mt19937_64 random(5);
  double promised = 0.0;
  double delivered = 0.0;
  double measured = 0.0;
  FindOptions options;
  options.notes = false;
  options.next_tests = 1;
  for (int round = 0; round < 60; ++round) {
    const std::size_t planted = drawn_fault(proof, random);
    std::vector<double> shown;
    for (std::size_t test = 0; test < proof.report.tests.size(); ++test) {
      const find::Prediction expected = find::shown_under_fault(proof, planted, test);
      shown.push_back(expected.drawn.high >= proof.report.over_range ? over_range_reading
                                                                     : drawn_as(random, expected));
    }
    std::vector<Reading> readings;
    for (const std::size_t test : proof.report.plan) {
      readings.push_back(samples::as_reading(proof, test, shown[test], 1000 + readings.size()));
      const Band& band = proof.report.tests[test].band;
      if (shown[test] < band.low || shown[test] > band.high) break;
    }
    const samples::Walk walk = samples::walk(
        proof, planted, readings, [&](std::size_t test) { return shown[test]; }, samples::best_next, options,
        20);
    promised += walk.promised;
    delivered += walk.delivered;
    measured += static_cast<double>(walk.informative);
  }
  ASSERT_GT(measured, 50.0);
  EXPECT_NEAR(promised / measured, delivered / measured, 0.25);
}

}  // namespace
}  // namespace loomgraft::find_promise_test
