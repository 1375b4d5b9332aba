#include "plug/next_cavity.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include "tests/plug/simulator.h"

namespace loomgraft::plug_next_look_test {
namespace {

using namespace loomgraft::plug;

using plug_simulator::any_plug;
using plug_simulator::Case;
using plug_simulator::Dice;
using plug_simulator::pin_at;
using plug_simulator::seen_rows;
using plug_simulator::SimulatedPlug;

// Every report with its chance under one hypothesis, the long way.
std::map<std::string, double> reports_under(const WeightedHypothesis& hypothesis, int row, int column) {
  const PlugOdds& odds = plug_odds();
  const PlugCell in_general = cell_in_general(odds);
  const int index = hypothesis.faces == nullptr
                        ? -1
                        : hypothesis.faces->orientations[hypothesis.orientation].grid.at(row, column);
  const PlugCell* cell = index < 0 ? nullptr : &hypothesis.faces->cells[static_cast<std::size_t>(index)];
  if (hypothesis.faces == nullptr) cell = &in_general;
  const double astray = hypothesis.faces == nullptr ? 0.0 : odds.slip + hypothesis.faces->misplaced;
  std::map<std::string, double> reports;
  if (cell == nullptr) reports["no such place"] += 1.0 - astray;
  for (const SeeingCondition& condition : odds.conditions) {
    const auto add = [&](const std::string& name, const CavityEvidence& item) {
      const double here = cell == nullptr ? 0.0 : chance_of(item, *cell, condition, odds);
      reports[name] +=
          condition.share * ((1.0 - astray) * here + astray * chance_of(item, in_general, condition, odds));
    };
    add("empty", {{}, true, {}});
    for (int base = 0; base < static_cast<int>(hue_count); ++base) {
      for (int tracer = -1; tracer < static_cast<int>(hue_count); ++tracer) {
        add(std::to_string(base) + "/" + std::to_string(tracer), {{base, tracer}, {}, {}});
      }
    }
  }
  return reports;
}

// Mean divergence of each hypothesis's reports from those of all together: the same information by another
// sum.
double slow_information(const std::vector<WeightedHypothesis>& hypotheses, int row, int column) {
  std::vector<std::map<std::string, double>> given;
  std::map<std::string, double> together;
  for (const WeightedHypothesis& hypothesis : hypotheses) {
    given.push_back(reports_under(hypothesis, row, column));
    for (const auto& [name, chance] : given.back()) together[name] += hypothesis.probability * chance;
  }
  double bits = 0.0;
  for (std::size_t i = 0; i < hypotheses.size(); ++i) {
    for (const auto& [name, chance] : given[i]) {
      if (chance > 0.0) bits += hypotheses[i].probability * chance * std::log2(chance / together[name]);
    }
  }
  return bits;
}

TEST(NextCavity, InformationMatchesTheLongSum) {
  Dice dice(9);
  for (int trial = 0; trial < 10; ++trial) {
    const SimulatedPlug a = any_plug(dice, "A");
    const SimulatedPlug b = any_plug(dice, "B");
    const std::vector<PlugFaces> faces{faces_of(a.candidate(), plug_odds()),
                                       faces_of(b.candidate(), plug_odds())};
    std::vector<WeightedHypothesis> hypotheses{{nullptr, 0, dice.share()}};
    double total = hypotheses[0].probability;
    for (const PlugFaces& plug : faces) {
      for (std::size_t orientation = 0; orientation < 4; ++orientation) {
        hypotheses.push_back({&plug, orientation, dice.share()});
        total += hypotheses.back().probability;
      }
    }
    for (WeightedHypothesis& hypothesis : hypotheses) hypothesis.probability /= total;
    const std::vector<NextCavity> cavities = next_cavities(hypotheses, {}, plug_odds());
    ASSERT_FALSE(cavities.empty());
    for (const NextCavity& next : cavities) {
      EXPECT_NEAR(next.information_bits, slow_information(hypotheses, next.row, next.column), 1e-9);
    }
  }
}

// Two plugs that differ in one cavity: that is the one to look at, wherever it may be seen.
TEST(NextCavity, TheOneDifferentWireIsSuggested) {
  Dice dice(12);
  SimulatedPlug a;
  do {
    a = any_plug(dice, "A");
  } while (a.connector.rows.size() != 3 || pin_at(a, "5") == nullptr || !pin_at(a, "5")->colour.known());
  SimulatedPlug b = a;
  b.connector.id = "B";
  for (Pin& pin : b.pins) {
    pin.at.connector = "B";
    if (pin.at.cavity == "5") pin.colour = {pin.colour.base == "WH" ? "BK" : "WH", "RD", ""};
  }
  Observation observation;
  observation.latch = Side::top;
  observation.looked_from = View::wire_entry;
  const auto rows = seen_rows(a, View::wire_entry, false);
  int row_of_five = 0;
  int column_of_five = 0;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      const int row = static_cast<int>(r) + 1;
      const int column = static_cast<int>(c) + 1;
      const Pin* pin = pin_at(a, rows[r][c]);
      if (rows[r][c] == "5") {
        row_of_five = row;
        column_of_five = column;
      } else if (pin != nullptr && pin->colour.known() && (r + c) % 2 == 0) {
        observation.cavities.push_back({row, column, pin->colour, {}, {}});
      }
    }
  }
  const PlugReport report = find_plug({a.candidate(), b.candidate()}, observation);
  ASSERT_FALSE(report.next.empty());
  EXPECT_EQ(report.next.front().row, row_of_five);
  EXPECT_EQ(report.next.front().column, column_of_five);
  EXPECT_GT(report.next.front().information_bits, 0.5);  // one bit, less what dirt and slips take
  EXPECT_LE(report.next.front().information_bits, 1.0);
}

// How many looks until the plug is certain, asked for by the report or taken at random. `most` where never.
int looks_needed(const Case& made, bool asked, Dice& dice, int most) {
  const SimulatedPlug& truth = made.plugs[static_cast<std::size_t>(made.true_plug)];
  const auto rows = seen_rows(truth, made.true_view, made.true_turned);
  Observation observation;
  std::vector<std::pair<int, int>> left;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      left.emplace_back(static_cast<int>(r) + 1, static_cast<int>(c) + 1);
    }
  }
  for (int looks = 0; looks < most; ++looks) {
    const PlugReport report = find_plug(made.candidates(), observation);
    if (report.certain) return looks;
    if (left.empty() || report.next.empty()) return most;
    std::pair<int, int> place = left[static_cast<std::size_t>(dice.below(static_cast<int>(left.size())))];
    if (asked) {
      for (const NextCavity& next : report.next) {
        place = {next.row, next.column};
        if (std::find(left.begin(), left.end(), place) != left.end()) break;  // else there is no such place
      }
    }
    if (std::find(left.begin(), left.end(), place) == left.end()) return most;
    std::erase(left, place);
    const std::string& cavity =
        rows[static_cast<std::size_t>(place.first - 1)][static_cast<std::size_t>(place.second - 1)];
    const Pin* pin = pin_at(truth, cavity);
    ObservedCavity observed{place.first, place.second, {}, {}, {}};
    if (pin != nullptr && pin->colour.known()) {
      observed.colour = pin->colour;
    } else {
      observed.empty = true;
    }
    observation.cavities.push_back(observed);
  }
  return most;
}

TEST(NextCavity, SuggestedCavitiesNeedFewerLooksThanRandomOnes) {
  constexpr int most = 15;
  constexpr int trials = 120;
  Dice dice(21);
  int counted = 0;
  int asked = 0;
  int random = 0;
  for (int trial = 0; trial < trials; ++trial) {
    Case made = plug_simulator::any_case(dice);
    if (made.true_plug < 0) continue;
    const int with_advice = looks_needed(made, true, dice, most);
    const int without = looks_needed(made, false, dice, most);
    if (with_advice == most && without == most)
      continue;  // a plug of one row, or of unknown wires: never certain
    ++counted;
    asked += with_advice;
    random += without;
  }
  std::printf("looks until certain, at most %d: asked for %.2f, at random %.2f\n", most,
              static_cast<double>(asked) / counted, static_cast<double>(random) / counted);
  EXPECT_LT(asked, 0.85 * random);
}

}  // namespace
}  // namespace loomgraft::plug_next_look_test
