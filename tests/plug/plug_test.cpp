#include "plug/plug.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "plug/likelihood.h"
#include "tests/plug/simulator.h"

namespace loomgraft::plug_plug_test {
namespace {

using namespace loomgraft::plug;

using plug_simulator::any_plug;
using plug_simulator::Dice;
using plug_simulator::pin_at;
using plug_simulator::seen_rows;
using plug_simulator::SimulatedPlug;

// Rows of colours as drawn, for example {"BK RD/WH -", "YE . GN"}: "-" is a cavity of unknown colour, "." a
// place without a cavity.
SimulatedPlug plug_of(const std::string& id, const std::vector<std::string>& rows,
                      View view = View::wire_entry, Side latch = Side::top) {
  SimulatedPlug plug;
  plug.connector.id = id;
  plug.connector.view = view;
  plug.connector.latch = latch;
  int number = 0;
  double y = 2.5;
  for (const std::string& text : rows) {
    CavityRow row{{}, millimetres(2.5), millimetres(y), millimetres(2.5), millimetres(0.64)};
    y += 4.0;
    std::size_t at = 0;
    while (at < text.size()) {
      const std::size_t end = std::min(text.find(' ', at), text.size());
      const std::string cell = text.substr(at, end - at);
      at = end + 1;
      if (cell == ".") {
        row.cavities.emplace_back();
        continue;
      }
      row.cavities.push_back(std::to_string(++number));
      Pin pin;
      pin.at = {id, row.cavities.back()};
      pin.signal = "a signal";
      if (cell != "-") {
        pin.colour.base = cell.substr(0, 2);
        if (cell.size() > 3) pin.colour.tracer = cell.substr(3);
      }
      plug.pins.push_back(pin);
    }
    plug.connector.rows.push_back(row);
  }
  return plug;
}

ObservedCavity seen(int row, int column, const std::string& base, const std::string& tracer = "") {
  ObservedCavity observed{row, column, {}, {}, {}};
  observed.colour.base = base;
  observed.colour.tracer = tracer;
  return observed;
}

ObservedCavity empty_at(int row, int column) {
  return {row, column, {}, true, {}};
}

double total(const PlugReport& report) {
  double sum = 0.0;
  for (const PlugHypothesis& hypothesis : report.hypotheses) sum += hypothesis.probability;
  return sum;
}

double probability_of(const PlugReport& report, const std::string& connector, View view, bool turned) {
  for (const PlugHypothesis& hypothesis : report.hypotheses) {
    if (hypothesis.connector == connector && hypothesis.view == view && hypothesis.turned == turned) {
      return hypothesis.probability;
    }
  }
  return 0.0;
}

double share_of(const PlugReport& report, const std::string& connector) {
  for (const PlugProbability& share : report.plugs) {
    if (share.connector == connector) return share.probability;
  }
  return 0.0;
}

bool has_problem(const PlugReport& report, std::string_view code) {
  return std::any_of(report.problems.begin(), report.problems.end(), [&](const Problem& problem) {
    return problem.code == code && !problem.message.empty() && !problem.remedy.empty();
  });
}

const SimulatedPlug six = plug_of("C1", {"BK RD/WH YE", "GN BU BN/YE"});
const SimulatedPlug other_six = plug_of("C2", {"VT OG/BK WH", "GY PK BK/RD"});

TEST(FindPlug, NothingSeenLeavesAllEqual) {
  const PlugReport report = find_plug({six.candidate(), other_six.candidate()}, {});
  ASSERT_EQ(report.hypotheses.size(), 9U);
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_NEAR(report.hypotheses[i].probability, 1.0 / 8.0 / 1.02, 1e-12);  // odds of 0.02 for none
  }
  EXPECT_TRUE(report.hypotheses[8].connector.empty());
  EXPECT_NEAR(report.hypotheses[8].probability, 0.02 / 1.02, 1e-12);
  EXPECT_FALSE(report.certain);
  EXPECT_TRUE(report.problems.empty());
  EXPECT_EQ(report.next.size(), 5U);
}

// As drawn, BK is top left. Seen from the mating side it is top right; turned, bottom right; both, bottom
// left.
TEST(FindPlug, FindsEveryViewAndRotation) {
  struct Looked {
    View view;
    bool turned;
    int black_row;
    int black_column;
  };
  for (const Looked& looked : {Looked{View::wire_entry, false, 1, 1}, Looked{View::mating, false, 1, 3},
                               Looked{View::wire_entry, true, 2, 3}, Looked{View::mating, true, 2, 1}}) {
    Observation observation;
    const auto rows = seen_rows(six, looked.view, looked.turned);
    for (int row = 1; row <= 2; ++row) {
      for (int column = 1; column <= 3; ++column) {
        const Pin* pin =
            pin_at(six, rows[static_cast<std::size_t>(row - 1)][static_cast<std::size_t>(column - 1)]);
        observation.cavities.push_back(seen(row, column, pin->colour.base, pin->colour.tracer));
      }
    }
    const PlugReport report = find_plug({other_six.candidate(), six.candidate()}, observation);
    const PlugHypothesis& best = report.hypotheses.front();
    EXPECT_EQ(best.connector, "C1");
    EXPECT_EQ(best.view, looked.view);
    EXPECT_EQ(best.turned, looked.turned);
    EXPECT_TRUE(report.certain);
    ASSERT_TRUE(report.cavity_one.has_value());
    EXPECT_EQ(report.cavity_one->row, looked.black_row);
    EXPECT_EQ(report.cavity_one->column, looked.black_column);
    EXPECT_TRUE(report.next.empty());  // everything has been looked at
    ASSERT_EQ(report.positions.size(), 6U);
    for (const CavityPosition& position : report.positions) {
      EXPECT_EQ(
          position.cavity,
          rows[static_cast<std::size_t>(position.row - 1)][static_cast<std::size_t>(position.column - 1)]);
    }
  }
}

TEST(FindPlug, DescribesWhereCavityOneIs) {
  Observation observation;
  observation.cavities = {seen(1, 3, "BK"), seen(1, 2, "RD", "WH"), seen(2, 3, "GN"), seen(2, 1, "BN", "YE")};
  const PlugReport report = find_plug({six.candidate()}, observation);
  EXPECT_EQ(report.hypotheses.front().view, View::mating);
  EXPECT_EQ(report.cavity_one_text, "top right");
  EXPECT_EQ(report.positions.front().cavity, "3");
  EXPECT_NEAR(report.positions_probability, report.hypotheses.front().probability, 1e-12);
}

TEST(FindPlug, MirroredAndTurnedPlugsAreFoundAgain) {
  int found = 0;
  int open = 0;
  int trials = 0;
  Dice dice(77);
  for (int trial = 0; trial < 300; ++trial) {
    std::vector<SimulatedPlug> plugs;
    plugs.reserve(4);
    for (int i = 0; i < 4; ++i) plugs.push_back(any_plug(dice, std::string(1, static_cast<char>('A' + i))));
    const SimulatedPlug& truth = plugs[static_cast<std::size_t>(dice.below(4))];
    const View view = dice.chance(0.5) ? View::mating : View::wire_entry;
    const bool turned = dice.chance(0.5);
    Observation observation;
    const auto rows = seen_rows(truth, view, turned);
    for (std::size_t r = 0; r < rows.size(); ++r) {
      for (std::size_t c = 0; c < rows[r].size(); ++c) {
        const Pin* pin = pin_at(truth, rows[r][c]);
        if (pin == nullptr || !pin->colour.known()) continue;
        observation.cavities.push_back(
            seen(static_cast<int>(r) + 1, static_cast<int>(c) + 1, pin->colour.base, pin->colour.tracer));
      }
    }
    if (observation.cavities.size() < 4) continue;  // too little to identify a plug
    ++trials;
    std::vector<PlugCandidate> candidates;
    candidates.reserve(plugs.size());
    for (const SimulatedPlug& plug : plugs) candidates.push_back(plug.candidate());
    const PlugReport report = find_plug(candidates, observation);
    const double given = probability_of(report, truth.connector.id, view, turned);
    if (given > report.hypotheses.front().probability - 1e-9) {
      ++(given > 0.6 ? found : open);
    }
    // A plug of one row is the same turned and from its other side; all else is found.
    EXPECT_TRUE(given > 0.6 || rows.size() == 1) << trial;
  }
  EXPECT_EQ(found + open, trials);
  EXPECT_GT(found, trials / 2);
}

TEST(FindPlug, LatchDecidesTheRotation) {
  const SimulatedPlug plain = plug_of("C1", {"- - -", "- - -"});
  Observation observation;
  observation.latch = Side::bottom;
  const PlugReport report = find_plug({plain.candidate()}, observation);
  const double turned =
      probability_of(report, "C1", View::wire_entry, true) + probability_of(report, "C1", View::mating, true);
  EXPECT_GT(turned, 0.9);
  EXPECT_NEAR(probability_of(report, "C1", View::wire_entry, true),
              probability_of(report, "C1", View::mating, true),
              1e-12);  // the latch does not tell the sides apart

  SimulatedPlug no_latch = plain;
  no_latch.connector.latch = Side::unknown;
  const PlugReport open = find_plug({no_latch.candidate()}, observation);
  EXPECT_NEAR(probability_of(open, "C1", View::wire_entry, true),
              probability_of(open, "C1", View::wire_entry, false), 1e-12);
}

TEST(FindPlug, LatchAtTheSideDistinguishesTheViews) {
  const SimulatedPlug plain = plug_of("C1", {"- - -", "- - -"}, View::wire_entry, Side::left);
  Observation observation;
  observation.latch = Side::right;
  const PlugReport report = find_plug({plain.candidate()}, observation);
  EXPECT_NEAR(probability_of(report, "C1", View::mating, false),
              probability_of(report, "C1", View::wire_entry, true), 1e-12);
  EXPECT_GT(probability_of(report, "C1", View::mating, false), 0.4);
}

TEST(FindPlug, SideLookedFromIsEvidence) {
  Observation observation;
  observation.looked_from = View::mating;
  const PlugReport report = find_plug({six.candidate()}, observation);
  EXPECT_GT(
      probability_of(report, "C1", View::mating, false) + probability_of(report, "C1", View::mating, true),
      0.9);
}

TEST(FindPlug, EqualPlugsTieAndAreNeverCertain) {
  SimulatedPlug twin = six;
  twin.connector.id = "C9";
  for (Pin& pin : twin.pins) pin.at.connector = "C9";
  Observation observation;
  for (std::size_t i = 0; i < 6; ++i) {
    const int column = static_cast<int>(i % 3) + 1;
    observation.cavities.push_back(seen(i < 3 ? 1 : 2, column, six.pins[i].colour.base));
  }
  observation.latch = Side::top;
  observation.looked_from = View::wire_entry;
  const PlugReport report = find_plug({six.candidate(), twin.candidate()}, observation);
  EXPECT_EQ(report.hypotheses[0].connector, "C1");  // in the candidates' order
  EXPECT_EQ(report.hypotheses[1].connector, "C9");
  EXPECT_EQ(report.hypotheses[0].probability, report.hypotheses[1].probability);
  EXPECT_FALSE(report.certain);
}

TEST(FindPlug, PlugOfOneRowIsTheSameTurnedAndFromItsOtherSide) {
  const SimulatedPlug row = plug_of("C1", {"BK RD YE GN BU"}, View::wire_entry, Side::unknown);
  Observation observation;
  observation.cavities = {seen(1, 1, "BU"), seen(1, 2, "GN"), seen(1, 4, "RD"), seen(1, 5, "BK")};
  const PlugReport report = find_plug({row.candidate()}, observation);
  EXPECT_NEAR(report.hypotheses[0].probability, report.hypotheses[1].probability, 1e-9);
  EXPECT_FALSE(report.certain);
  EXPECT_GT(report.positions_probability, 0.95);  // which cavity is where is sure all the same
  EXPECT_EQ(report.cavity_one_text, "right");
}

TEST(FindPlug, ContradictingObservationRaisesNoneOfThese) {
  Observation observation;
  for (const auto& [row, column, base] :
       {std::tuple{1, 1, "TQ"}, {1, 2, "TQ"}, {1, 3, "PK"}, {2, 1, "OG"}, {2, 2, "TQ"}}) {
    observation.cavities.push_back(seen(row, column, base, "VT"));
  }
  const PlugReport report = find_plug({six.candidate()}, observation);
  EXPECT_TRUE(report.hypotheses.front().connector.empty());
  EXPECT_GT(report.hypotheses.front().probability, 0.5);
  EXPECT_TRUE(report.positions.empty());
}

TEST(FindPlug, SimilarColoursCountLessAgainstAPlugThanDifferentOnes) {
  const auto chance_with = [&](const char* in_place_of_violet) {
    Observation observation;
    observation.cavities = {seen(1, 1, in_place_of_violet), seen(1, 2, "OG", "BK"), seen(2, 2, "PK")};
    return share_of(find_plug({six.candidate(), other_six.candidate()}, observation), "C2");
  };
  EXPECT_GT(chance_with("VT"), chance_with("BU"));
  EXPECT_GT(chance_with("BU"), chance_with("YE"));
  EXPECT_GT(chance_with("BU"), 0.9);
}

TEST(FindPlug, OneWrongPositionIsTolerated) {
  Observation observation;
  observation.cavities = {seen(1, 1, "BK"), seen(1, 3, "RD", "WH"), seen(2, 1, "GN"), seen(2, 2, "BU"),
                          seen(2, 3, "BN", "YE")};
  const PlugReport report = find_plug({six.candidate(), other_six.candidate()}, observation);
  EXPECT_EQ(report.hypotheses.front().connector, "C1");
  EXPECT_EQ(report.hypotheses.front().view, View::wire_entry);
  EXPECT_FALSE(report.hypotheses.front().turned);
}

TEST(FindPlug, WiresSeenSomewhereCount) {
  Observation observation;
  observation.cavities = {seen(0, 0, "VT"), seen(0, 0, "OG", "BK"), seen(0, 0, "PK")};
  const PlugReport report = find_plug({six.candidate(), other_six.candidate()}, observation);
  EXPECT_GT(share_of(report, "C2"), 0.9);
  EXPECT_FALSE(report.certain);  // side and rotation stay open
  EXPECT_NEAR(report.hypotheses[0].probability, report.hypotheses[3].probability, 1e-12);
}

TEST(FindPlug, TwoBlacksNeedTwoBlackWires) {
  const SimulatedPlug one = plug_of("A", {"BK RD YE GN", "BU BN WH VT"});
  const SimulatedPlug two = plug_of("B", {"BK BK YE GN", "BU BN WH VT"});
  Observation once;
  once.cavities = {seen(0, 0, "BK")};
  Observation twice;
  twice.cavities = {seen(0, 0, "BK"), seen(0, 0, "BK")};
  const double b_once = share_of(find_plug({one.candidate(), two.candidate()}, once), "B");
  const double b_twice = share_of(find_plug({one.candidate(), two.candidate()}, twice), "B");
  EXPECT_NEAR(b_once, 0.66, 0.05);  // one black in eight against two in eight
  EXPECT_GT(b_twice, 0.85);
}

TEST(FindPlug, SizesAndEmptyHolesCount) {
  SimulatedPlug large = plug_of("L", {"- - -", "- - -"});
  large.connector.rows[0].terminal_width = millimetres(2.8);
  Observation observation;
  observation.cavities = {{1, 1, {}, {}, true}, {1, 2, {}, {}, true}, {2, 1, {}, {}, false}};
  const PlugReport report = find_plug({large.candidate()}, observation);
  EXPECT_GT(
      probability_of(report, "L", View::wire_entry, false) + probability_of(report, "L", View::mating, false),
      0.9);

  SimulatedPlug holes = plug_of("H", {"BK RD YE", "GN BU BN"});
  holes.pins[0].populated = false;
  Observation hole;
  hole.cavities = {empty_at(1, 3)};
  EXPECT_EQ(find_plug({holes.candidate()}, hole).hypotheses.front().view, View::mating);
}

TEST(FindPlug, UnknownColoursAreNeutral) {
  const SimulatedPlug blank = plug_of("C1", {"- - -", "- - -"});
  Observation observation;
  observation.cavities = {seen(1, 1, "BK"), seen(2, 3, "YE", "RD")};
  const PlugReport report = find_plug({blank.candidate()}, observation);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(report.hypotheses[i].probability, report.hypotheses[0].probability, 1e-12);
  }
}

TEST(FindPlug, PositionThatDoesNotExistCountsAgainstAPlug) {
  const SimulatedPlug small = plug_of("S", {"- -", "- -"});
  const SimulatedPlug wide = plug_of("W", {"- - - - - -", "- - - - - -"});
  Observation observation;
  observation.cavities = {seen(1, 6, "BK")};
  EXPECT_GT(share_of(find_plug({small.candidate(), wide.candidate()}, observation), "W"), 0.9);
  SimulatedPlug guessed = small;
  guessed.connector.rows_guessed = true;
  const PlugReport report = find_plug({guessed.candidate(), wide.candidate()}, observation);
  EXPECT_GT(share_of(report, "S"), 0.2);  // rows that were laid out by the program prove nothing
  EXPECT_TRUE(has_problem(report, "rows-guessed"));
}

TEST(FindPlug, BadInputIsReportedAndTheRestIsUsed) {
  Observation good;
  good.cavities = {seen(1, 1, "BK"), seen(1, 2, "RD", "WH"), seen(2, 1, "GN")};
  Observation observation = good;
  observation.cavities.push_back(seen(-1, 2, "RD"));
  observation.cavities.push_back(seen(2, 2, "??"));
  observation.cavities.push_back({2, 3, {"BU", "", "BU"}, true, {}});
  observation.cavities.push_back({1, 3, {}, {}, {}});
  const PlugReport report = find_plug({six.candidate(), {nullptr, {}}}, observation, {-1.0, std::nan("")});
  for (const char* code : {"place-impossible", "colour-unknown", "empty-with-colour", "nothing-seen",
                           "plug-missing", "certainty-impossible", "prior-impossible"}) {
    EXPECT_TRUE(has_problem(report, code)) << code;
  }
  const PlugReport clean = find_plug({six.candidate()}, good);
  EXPECT_NEAR(report.hypotheses.front().probability, clean.hypotheses.front().probability, 1e-12);
}

TEST(FindPlug, AnItemWithOnlyARowCountsForThatRow) {
  Observation observation;
  observation.cavities = {seen(2, 0, "BK"), seen(2, 0, "YE")};
  const PlugReport report = find_plug({six.candidate()}, observation);
  EXPECT_TRUE(report.hypotheses.front().turned);
  EXPECT_TRUE(has_problem(report, "place-incomplete"));
}

TEST(FindPlug, TheSamePositionTwiceCountsOnceAndContradictionsNotAtAll) {
  Observation once;
  once.cavities = {seen(1, 1, "BK")};
  Observation twice = once;
  twice.cavities.push_back(seen(1, 1, "BK"));
  Observation against = once;
  against.cavities.push_back(seen(1, 1, "YE"));
  const auto best = [&](const Observation& observation) {
    return find_plug({six.candidate()}, observation).hypotheses.front().probability;
  };
  EXPECT_EQ(best(once), best(twice));
  EXPECT_NEAR(best(against), best({}), 1e-12);
  EXPECT_TRUE(has_problem(find_plug({six.candidate()}, against), "observation-contradicts"));
}

TEST(FindPlug, NoPlugsToChooseFrom) {
  const PlugReport report = find_plug({}, {});
  ASSERT_EQ(report.hypotheses.size(), 1U);
  EXPECT_EQ(report.hypotheses[0].probability, 1.0);
  EXPECT_FALSE(report.certain);
  EXPECT_TRUE(has_problem(report, "no-plugs"));
  EXPECT_NEAR(total(find_plug({{&six.connector, {}}}, {}, {0.9, 0.0})), 1.0, 1e-12);
}

TEST(FindPlug, PlugHeldOnItsSideIsReported) {
  Observation observation;
  observation.latch = Side::left;
  EXPECT_TRUE(has_problem(find_plug({six.candidate()}, observation), "held-sideways"));
  observation.latch = Side::bottom;
  EXPECT_FALSE(has_problem(find_plug({six.candidate()}, observation), "held-sideways"));
}

TEST(FindPlug, DrawingFromAnUnnamedSideIsReported) {
  SimulatedPlug unnamed = six;
  unnamed.connector.view = View::unknown;
  EXPECT_TRUE(has_problem(find_plug({unnamed.candidate()}, {}), "view-assumed"));
}

TEST(FindPlug, HundredsOfItemsStayInRange) {
  Observation observation;
  for (int i = 0; i < 500; ++i) observation.cavities.push_back(seen(i % 40 + 1, i / 40 + 1, "TQ", "PK"));
  for (int i = 0; i < 40; ++i) observation.cavities.push_back(seen(0, 0, "BK"));
  const PlugReport report = find_plug({six.candidate(), other_six.candidate(), {}}, observation);
  EXPECT_NEAR(total(report), 1.0, 1e-9);
}

TEST(FindPlug, ProbabilitiesSumToOneOnAnyCase) {
  EXPECT_TRUE(rc::check([] {
    Dice dice(*rc::gen::arbitrary<std::uint64_t>());
    plug_simulator::World world;
    world.careless = 2.0;
    const plug_simulator::Case made = plug_simulator::any_case(dice, world);
    const PlugReport report = find_plug(made.candidates(), made.observation);
    RC_ASSERT(std::abs(total(report) - 1.0) < 1e-9);
    double shares = 0.0;
    for (const PlugProbability& share : report.plugs) shares += share.probability;
    RC_ASSERT(std::abs(shares - 1.0) < 1e-9);
    RC_ASSERT(report.certain == (report.hypotheses.front().probability >= 0.9));
    RC_ASSERT(report.positions.empty() ||
              report.positions_probability >= report.hypotheses.front().probability - 1e-12);
    for (std::size_t i = 1; i < report.hypotheses.size(); ++i) {
      RC_ASSERT(report.hypotheses[i - 1].probability >= report.hypotheses[i].probability);
    }
    RC_ASSERT(report.next.size() <= 5);
    for (const NextCavity& next : report.next) {
      RC_ASSERT(next.information_bits > 0.0);
      RC_ASSERT(next.information_bits <= std::log2(static_cast<double>(report.hypotheses.size())));
      if (has_problem(report, "observation-contradicts")) continue;  // that cavity has to be looked at again
      for (const ObservedCavity& observed : made.observation.cavities) {
        RC_ASSERT(observed.row != next.row || observed.column != next.column);
      }
    }
  }));
}

// ---- pieces

TEST(PlugOdds, WhatMayBeSeenSumsToOne) {
  for (const SeeingCondition& condition : plug_odds().conditions) {
    for (const auto& row : condition.seen_as) {
      double sum = 0.0;
      for (const double p : row) sum += p;
      EXPECT_NEAR(sum, 1.0, 1e-12);
    }
  }
  double shares = 0.0;
  for (const SeeingCondition& condition : plug_odds().conditions) shares += condition.share;
  EXPECT_NEAR(shares, 1.0, 1e-12);
}

TEST(PlugOdds, WhatMayBeReportedOfACavitySumsToOne) {
  const PlugOdds& odds = plug_odds();
  for (const Hues hues : {Hues{}, Hues{2, -1}, Hues{4, 6}}) {
    PlugCell cell = cell_in_general(odds);
    cell.hues = hues;
    for (const SeeingCondition& condition : odds.conditions) {
      double sum = chance_of({{}, true, {}}, cell, condition, odds);
      for (int base = 0; base < static_cast<int>(hue_count); ++base) {
        for (int tracer = -1; tracer < static_cast<int>(hue_count); ++tracer) {
          sum += chance_of({{base, tracer}, {}, {}}, cell, condition, odds);
        }
      }
      EXPECT_NEAR(sum, 1.0, 1e-12);
    }
  }
}

// All placements one by one.
double slow_mean(const std::vector<std::vector<double>>& chances, std::size_t item, std::vector<bool>& taken,
                 double product, int& placements) {
  if (item == chances.size()) {
    ++placements;
    return product;
  }
  double sum = 0.0;
  for (std::size_t cell = 0; cell < taken.size(); ++cell) {
    if (taken[cell]) continue;
    taken[cell] = true;
    sum += slow_mean(chances, item + 1, taken, product * chances[item][cell], placements);
    taken[cell] = false;
  }
  return sum;
}

TEST(PlugPlacings, MeanOverDistinctCellsMatchesTryingThemAll) {
  Dice dice(5);
  for (int trial = 0; trial < 50; ++trial) {
    const std::size_t items = static_cast<std::size_t>(dice.between(1, 5));
    const std::size_t cells = items + static_cast<std::size_t>(dice.between(0, 3));
    std::vector<std::vector<double>> chances(items, std::vector<double>(cells));
    for (auto& row : chances) {
      for (double& chance : row) chance = dice.share();
    }
    std::vector<bool> taken(cells, false);
    int placements = 0;
    const double sum = slow_mean(chances, 0, taken, 1.0, placements);
    EXPECT_NEAR(log_mean_over_placements(chances), std::log(sum / placements), 1e-9);
  }
}

}  // namespace
}  // namespace loomgraft::plug_plug_test
