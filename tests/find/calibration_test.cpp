// What the search promises against what it delivers over many planted faults, how often it is right, and the minutes beside
// two plain ways. LOOMGRAFT_LONG=1 plants two thousand; the figures are printed.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <optional>
#include <random>
#include <sstream>

#include "base/parallel.h"
#include "loom/graft_json.h"
#include "tests/find/plants.h"
#include "tests/network/random_loom.h"

namespace loomgraft::find_calibration_test {
namespace {

constexpr double least_ohms = 0.05;  // of a planted joint
constexpr double most_ohms = 1000.0;

Proof demo_proof() {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  return prove_loom(*graft_from_json(text.str(), "graft.json").graft);
}

Proof generated(unsigned seed, int circuits) {
  ProveOptions options;
  options.faults.whole_loom = true;
  return prove_loom(samples::random_loom(seed, circuits, 12.0).graft, options);
}

// By the priors; a joint of so many ohms, evenly by ratio.
std::size_t drawn_plant(const Proof& proof, std::mt19937_64& random) {
  const std::vector<Fault>& faults = proof.report.faults;
  const std::size_t drawn = samples::draw_fault(proof, random);
  if (faults[drawn].kind != FaultKind::bad_joint) return drawn;
  const double ohms = std::exp(samples::drawn_between(random, std::log(least_ohms), std::log(most_ohms)));
  for (std::size_t k = 0; k < faults.size(); ++k) {
    if (faults[k].kind == FaultKind::bad_joint && faults[k].subjects == faults[drawn].subjects &&
        faults[k].ohms.si <= ohms && ohms <= faults[k].up_to.si)
      return k;
  }
  return drawn;
}

enum Way : std::size_t { find, plan_order, halving, ways };

using Dialogue = std::array<std::optional<samples::Walk>, ways>;

// Nothing where no step of the plan shows the planted fault. Misread is what is measured after the plan's first step out of
// band.
Dialogue dialogue(const Proof& proof, std::uint64_t seed, bool with_plain_ways) {
  std::mt19937_64 random(seed);
  const std::size_t planted = drawn_plant(proof, random);
  const std::vector<double> shown = samples::drawn_readings(proof, planted, random);
  std::vector<Reading> readings;
  std::size_t step = 0;
  for (; step < proof.report.plan.size(); ++step) {
    const std::size_t test = proof.report.plan[step];
    readings.push_back(samples::as_reading(proof, test, shown[test], 1000 + step));
    if (!samples::is_in_band(proof, test, shown[test])) break;
  }
  Dialogue made;
  if (step == proof.report.plan.size()) return made;
  const std::size_t condition = proof.report.tests[proof.report.plan[step]].condition;
  FindOptions options;
  options.notes = false;
  options.next_tests = 1;
  const auto walk = [&](const samples::Choice& choose, std::size_t most) {
    return samples::walk(proof, planted, readings, samples::misread(proof, shown, seed), choose, options,
                         most, condition);
  };
  made[find] = walk(samples::best_next, 60);
  if (!with_plain_ways) return made;
  options.next_tests = 0;
  made[plan_order] = walk(samples::in_list_order(proof, step + 1), 400);
  made[halving] = walk(samples::halving(proof, condition), 60);
  return made;
}

struct Sum {
  double count = 0.0, promised = 0.0, delivered = 0.0, informative = 0.0, among = 0.0, wrong = 0.0;
  std::array<double, ways> minutes{}, times{};

  void add(const Dialogue& one) {
    if (!one[find]) return;
    const samples::Walk& walk = *one[find];
    ++count;
    promised += walk.promised;
    delivered += walk.delivered;
    informative += static_cast<double>(walk.informative);
    among += walk.among || walk.right ? 1.0 : 0.0;
    wrong += walk.isolated && !walk.right ? 1.0 : 0.0;
    for (std::size_t way = 0; way < ways; ++way) {
      if (!one[way] || !one[halving]) continue;
      minutes[way] += one[way]->minutes;
      ++times[way];
    }
  }

  void print(const char* name) const {
    std::printf(
        "%s: %.0f plants; bits a measurement promised %.3f, delivered %.3f; right or among the leaders %.1f "
        "%%, wrong "
        "and settled %.2f %%; minutes of %.0f: %.1f, in the plan's order %.1f, halving %.1f\n",
        name, count, promised / informative, delivered / informative, 100.0 * among / count,
        100.0 * wrong / count, times[find], minutes[find] / times[find],
        minutes[plan_order] / times[plan_order], minutes[halving] / times[halving]);
    std::fflush(stdout);
  }
};

// The plain ways take hundreds of measurements: only one dialogue in so many is had in them too.
constexpr std::size_t one_in_plain_ways = 20;

void plant(const Proof& proof, std::uint64_t loom, std::size_t count, const char* name, Sum& all) {
  std::vector<Dialogue> dialogues(count);
  parallel_for(count, [&](std::size_t k) {
    dialogues[k] = dialogue(proof, loom * 100'000 + k, k % one_in_plain_ways == 0);
  });
  Sum own;
  for (const Dialogue& one : dialogues) {
    own.add(one);
    all.add(one);
  }
  own.print(name);
}

TEST(FindCalibration, PromisesWhatItDeliversAndIsRight) {
  const bool is_long = std::getenv("LOOMGRAFT_LONG") != nullptr;
  Sum all;
  plant(generated(4, 4), 1, is_long ? 600 : 60, "4 circuits", all);
  plant(generated(8, 8), 2, is_long ? 600 : 30, "8 circuits", all);
  if (is_long) {
    plant(generated(14, 14), 3, 400, "14 circuits", all);
    // More than two thousand of all that are drawn are shown by a step of the plan.
    plant(demo_proof(), 4, 700, "demo", all);
  }
  all.print("all");
  ASSERT_GT(all.count, is_long ? 1800.0 : 60.0);
  EXPECT_NEAR(all.promised / all.informative, all.delivered / all.informative, is_long ? 0.1 : 0.25);
  EXPECT_GE(all.among, (is_long ? 0.97 : 0.9) * all.count);
  EXPECT_LE(all.wrong, (is_long ? 0.01 : 0.05) * all.count);
  EXPECT_LT(all.minutes[find], all.minutes[plan_order]);
  EXPECT_LT(all.minutes[find], all.minutes[halving]);
}

}  // namespace
}  // namespace loomgraft::find_calibration_test
