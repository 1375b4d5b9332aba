// Stated probabilities against how often they were right, on observations from an independent simulator.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>

#include "plug/plug.h"
#include "tests/plug/simulator.h"

namespace loomgraft::plug_calibration_test {
namespace {

using plug_simulator::any_case;
using plug_simulator::Case;
using plug_simulator::Dice;
using plug_simulator::World;

struct Band {
  double from = 0.0;
  double to = 0.0;
  int answers = 0;
  int right = 0;
  double stated = 0.0;

  double share_right() const { return answers == 0 ? 0.0 : static_cast<double>(right) / answers; }
  double mean_stated() const { return answers == 0 ? 0.0 : stated / answers; }
  double deviation() const {  // of the share right, were the stated probability exact
    const double p = mean_stated();
    return answers == 0 ? 1.0 : std::sqrt(p * (1.0 - p) / answers);
  }
};

struct Calibration {
  std::array<Band, 6> bands{{{0.0, 0.5}, {0.5, 0.7}, {0.7, 0.85}, {0.85, 0.95}, {0.95, 0.99}, {0.99, 1.01}}};
  Band all;
  double log_score = 0.0;  // mean log2 of the probability given to the truth
};

bool is_truth(const PlugHypothesis& hypothesis, const Case& made) {
  if (made.true_plug < 0) return hypothesis.connector.empty();
  return hypothesis.connector == made.plugs[static_cast<std::size_t>(made.true_plug)].connector.id &&
         hypothesis.view == made.true_view && hypothesis.turned == made.true_turned;
}

Calibration calibrate(const World& world, std::uint64_t seed, int trials) {
  Calibration calibration;
  Dice dice(seed);
  for (int i = 0; i < trials; ++i) {
    const Case made = any_case(dice, world);
    const PlugReport report = find_plug(made.candidates(), made.observation);
    const PlugHypothesis& best = report.hypotheses.front();
    const bool right = is_truth(best, made);
    for (const PlugHypothesis& hypothesis : report.hypotheses) {
      if (is_truth(hypothesis, made)) calibration.log_score += std::log2(hypothesis.probability) / trials;
    }
    for (Band& band : calibration.bands) {
      if (best.probability < band.from || best.probability >= band.to) continue;
      ++band.answers;
      band.right += right ? 1 : 0;
      band.stated += best.probability;
    }
    ++calibration.all.answers;
    calibration.all.right += right ? 1 : 0;
    calibration.all.stated += best.probability;
  }
  return calibration;
}

void print_table(const char* title, const Calibration& calibration) {
  std::printf("%s\n  stated        answers  mean stated  right   one sigma\n", title);
  for (const Band& band : calibration.bands) {
    std::printf("  %.2f to %.2f  %7d  %10.3f  %6.3f  %8.3f\n", band.from, std::min(band.to, 1.0),
                band.answers, band.mean_stated(), band.share_right(), band.deviation());
  }
  std::printf("  all           %7d  %10.3f  %6.3f  %8.3f   log score %.3f bits\n", calibration.all.answers,
              calibration.all.mean_stated(), calibration.all.share_right(), calibration.all.deviation(),
              calibration.log_score);
}

// No band may be right much less often than it says: that is what sends a person to the wrong cavity.
void expect_no_boast(const Calibration& calibration) {
  for (const Band& band : calibration.bands) {
    if (band.answers < 50) continue;
    EXPECT_GE(band.share_right(), band.mean_stated() - 3.0 * band.deviation()) << "from " << band.from;
  }
}

void expect_no_shyness(const Calibration& calibration) {
  for (const Band& band : calibration.bands) {
    if (band.answers < 50) continue;
    EXPECT_LE(band.share_right(), band.mean_stated() + 0.03 + 3.0 * band.deviation()) << "from " << band.from;
  }
}

TEST(PlugCalibration, StatedProbabilityMatchesTheShareOfRightAnswers) {
  const Calibration calibration = calibrate({}, 20240611, 6000);
  print_table("usual", calibration);
  const Band& ninety = calibration.bands[3];
  ASSERT_GE(ninety.answers, 200);
  const double error = 2.0 * std::sqrt(0.9 * 0.1 / ninety.answers);
  EXPECT_GE(ninety.share_right(), 0.85 - error);
  EXPECT_LE(ninety.share_right(), 0.95 + error);
  expect_no_boast(calibration);
  expect_no_shyness(calibration);
}

TEST(PlugCalibration, MatchesForSimilarPlugs) {
  World world;
  world.alike = 0.8;
  const Calibration calibration = calibrate(world, 31, 3000);
  print_table("plugs alike", calibration);
  expect_no_boast(calibration);
  expect_no_shyness(calibration);
}

TEST(PlugCalibration, MatchesForFewItems) {
  World world;
  world.most_cavities = 3;
  const Calibration calibration = calibrate(world, 32, 3000);
  print_table("one to three items", calibration);
  expect_no_boast(calibration);
  expect_no_shyness(calibration);
}

TEST(PlugCalibration, CarefulPeopleAreRightMoreOftenThanStated) {
  World world;
  world.careless = 0.4;
  const Calibration calibration = calibrate(world, 33, 3000);
  print_table("careful", calibration);
  expect_no_boast(calibration);
}

// Twice the mistakes that the odds were set for: the stated probability is too high then, but not absurd.
TEST(PlugCalibration, OverconfidenceStaysLimitedForCarelessPeople) {
  World world;
  world.careless = 2.0;
  const Calibration calibration = calibrate(world, 34, 3000);
  print_table("careless", calibration);
  EXPECT_GE(calibration.all.share_right(), calibration.all.mean_stated() - 0.10);
  EXPECT_GE(calibration.bands[5].share_right(), 0.95);
}

}  // namespace
}  // namespace loomgraft::plug_calibration_test
