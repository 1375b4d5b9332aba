#include "compare/moves.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <numeric>
#include <random>

#include "text/natural_order.h"

namespace loomgraft::compare_moves_test {
namespace {

CavityRef at(const std::string& cavity, const std::string& connector = "C1") {
  return {connector, cavity};
}

std::string in_short(const MovePlan& plan) {
  std::string text;
  for (const MoveStep& step : plan.steps) {
    if (!text.empty()) text += "; ";
    text += name_of(step.action);
    if (!step.from.connector.empty()) text += " " + step.from.connector + "." + step.from.cavity;
    if (!step.to.connector.empty()) text += " > " + step.to.connector + "." + step.to.cavity;
  }
  return text;
}

std::string planned(const MoveRequest& request) {
  const auto plan = order_moves(request);
  if (!plan) return std::string(plan.error().code);
  for (const Problem& problem : replay(request, *plan))
    ADD_FAILURE() << problem.location.pointer << problem.message;
  return in_short(*plan);
}

// 2 -> 3 -> (empty 4): the front of the path goes first.
TEST(Moves, APathStartsAtItsFreeCavity) {
  MoveRequest request;
  request.shifts = {{at("2"), at("3"), "a"}, {at("3"), at("4"), "b"}};
  EXPECT_EQ(planned(request), "move C1.3 > C1.4; move C1.2 > C1.3");
}

TEST(Moves, ARetirementComesBeforeTheShiftIntoItsCavity) {
  MoveRequest request;
  request.shifts = {{at("2"), at("3"), "a"}};
  request.retirements = {{at("3"), "old"}};
  request.additions = {{at("2"), "new"}};
  EXPECT_EQ(planned(request), "retire C1.3; move C1.2 > C1.3; add > C1.2");
}

// 1 -> 2 -> 10 -> 1: one terminal out, the others follow, the parked one last.
TEST(Moves, ACycleParksOneTerminal) {
  MoveRequest request;
  request.shifts = {{at("10"), at("1"), "c"}, {at("1"), at("2"), "a"}, {at("2"), at("10"), "b"}};
  EXPECT_EQ(planned(request), "park C1.1; move C1.10 > C1.1; move C1.2 > C1.10; insert_parked > C1.2");
  const auto plan = order_moves(request);
  EXPECT_EQ(plan->extractions, 3);
  EXPECT_EQ(plan->insertions, 3);
  EXPECT_EQ(plan->parkings, 1);
  EXPECT_TRUE(plan->steps[0].insulate);
  EXPECT_NE(plan->steps[0].note.find("nsulate"), std::string::npos);
}

TEST(Moves, StepsFollowConnectorsAndCavitiesInNaturalOrder) {
  MoveRequest request;
  request.shifts = {{at("A10", "C10"), at("A11", "C10"), "e"},
                    {at("A10", "C2"), at("A12", "C2"), "d"},
                    {at("A1", "C2"), at("A3", "C2"), "a"},
                    {at("A2", "C2"), at("A4", "C2"), "b"},
                    {at("A4", "C2"), at("A2", "C2"), "c"}};
  request.additions = {{at("A10", "C2"), "f"}};
  EXPECT_EQ(
      planned(request),
      "move C2.A1 > C2.A3; move C2.A10 > C2.A12; park C2.A2; move C2.A4 > C2.A2; insert_parked > C2.A4; "
      "move C10.A10 > C10.A11; add > C2.A10");
}

TEST(Moves, EmptyCavitiesOfSealedConnectorsArePlugged) {
  MoveRequest request;
  request.sealed_connectors = {"C1"};
  request.shifts = {{at("1"), at("2"), "a"}, {at("5", "C2"), at("6", "C2"), "b"}};
  request.retirements = {{at("3"), "old"}, {at("4"), "older"}};
  request.additions = {{at("4"), "new"}, {at("9"), "newer"}};
  EXPECT_EQ(planned(request),
            "unplug_cavity C1.2; move C1.1 > C1.2; plug_cavity > C1.1; retire C1.3; plug_cavity > C1.3; "
            "retire C1.4; move C2.5 > C2.6; add > C1.4; unplug_cavity C1.9; add > C1.9");
  const auto plan = order_moves(request);
  EXPECT_EQ(plan->cavity_plugs_in, 2);
  EXPECT_EQ(plan->cavity_plugs_out, 2);
}

TEST(Moves, RefusesContradictions) {
  const Shift shift{at("1"), at("2"), "a"};
  EXPECT_EQ(planned({{shift, {at("1"), at("3"), "b"}}, {}, {}, {}, {}}), "move-collision") << "leaves twice";
  EXPECT_EQ(planned({{shift, {at("3"), at("2"), "b"}}, {}, {}, {}, {}}), "move-collision") << "one target";
  EXPECT_EQ(planned({{shift}, {{at("1"), "a"}}, {}, {}, {}}), "move-collision") << "moved and retired";
  EXPECT_EQ(planned({{shift}, {}, {{at("2"), "b"}}, {}, {}}), "move-collision") << "moved and added";
  EXPECT_EQ(planned({{shift}, {}, {}, {}, {at("2")}}), "move-collision") << "lands on a kept one";
  EXPECT_EQ(planned({{shift}, {}, {}, {}, {at("1")}}), "move-collision") << "kept and moved";
  EXPECT_EQ(planned({{shift, {at("2"), at("2"), "b"}}, {}, {}, {}, {}}), "move-collision") << "stays put";
  EXPECT_EQ(planned({{{at(""), at("2"), "a"}}, {}, {}, {}, {}}), "move-no-cavity");
  EXPECT_EQ(planned({{}, {}, {{{"", "3"}, "a"}}, {}, {}}), "move-no-cavity");
  EXPECT_EQ(planned({{{at("2"), at("2"), "b"}}, {}, {}, {}, {}}), "") << "no change, no step";
}

// A random loom: some terminals change places among themselves, some move to empty cavities, some leave, some
// are new.
MoveRequest random_request(int cavities, unsigned seed) {
  std::mt19937 random(seed);
  const auto chance = [&](unsigned in_ten) { return random() % 10 < in_ten; };
  std::vector<CavityRef> all;
  for (int i = 0; i < cavities; ++i) all.push_back(at(std::to_string(i / 2 + 1), i % 2 == 0 ? "C1" : "C2"));
  std::vector<CavityRef> target = all;
  std::shuffle(target.begin(), target.end(), random);

  MoveRequest request;
  if (chance(5)) request.sealed_connectors.emplace_back("C1");
  for (std::size_t i = 0; i < all.size(); ++i) {
    const bool occupied = chance(8);
    const bool stays_used = chance(8);
    if (occupied && stays_used) request.shifts.push_back({all[i], target[i], std::to_string(i) + "s"});
    if (occupied && !stays_used) request.retirements.push_back({all[i], std::to_string(i) + "r"});
    if (!occupied && stays_used) request.additions.push_back({target[i], std::to_string(i) + "a"});
  }
  return request;
}

// Counted from the definition: follow each terminal to its target until it is back or there is no next.
int cycles_in(const MoveRequest& request) {
  int on_cycles = 0;
  double cycles = 0.0;
  for (const Shift& first : request.shifts) {
    if (first.from == first.to) continue;
    int length = 1;
    CavityRef place = first.to;
    while (place != first.from) {
      const auto next = std::find_if(request.shifts.begin(), request.shifts.end(),
                                     [&](const Shift& shift) { return shift.from == place; });
      if (next == request.shifts.end()) break;
      place = next->to;
      ++length;
    }
    if (place != first.from) continue;
    ++on_cycles;
    cycles += 1.0 / length;
  }
  return on_cycles == 0 ? 0 : static_cast<int>(cycles + 0.5);
}

TEST(Moves, AnyRequestIsMetWithTheFewestSteps) {
  const bool held = rc::check("shifts + parkings, replayed", [] {
    const MoveRequest request = random_request(*rc::gen::inRange(0, 40), *rc::gen::arbitrary<unsigned>());
    const auto plan = order_moves(request);
    RC_ASSERT(plan.has_value());
    const Problems problems = replay(request, *plan);
    RC_ASSERT(problems == Problems{});

    const auto moved = std::count_if(request.shifts.begin(), request.shifts.end(),
                                     [](const Shift& shift) { return shift.from != shift.to; });
    const int shifts = static_cast<int>(moved);
    const int retired = static_cast<int>(request.retirements.size());
    const int added = static_cast<int>(request.additions.size());
    const int cycles = cycles_in(request);
    RC_ASSERT(plan->extractions == shifts + retired);
    RC_ASSERT(plan->insertions == shifts + added);
    RC_ASSERT(plan->parkings == cycles);
    RC_ASSERT(static_cast<int>(plan->steps.size()) ==
              shifts + cycles + retired + added + plan->cavity_plugs_in + plan->cavity_plugs_out);
  });
  EXPECT_TRUE(held);
}

TEST(Moves, OrderOfTheRequestDoesNotMatter) {
  const bool held = rc::check("same plan for a shuffled request", [] {
    const unsigned seed = *rc::gen::arbitrary<unsigned>();
    MoveRequest request = random_request(24, seed);
    const auto plan = order_moves(request);
    std::mt19937 random(seed);
    std::shuffle(request.shifts.begin(), request.shifts.end(), random);
    std::shuffle(request.retirements.begin(), request.retirements.end(), random);
    std::shuffle(request.additions.begin(), request.additions.end(), random);
    RC_ASSERT(in_short(*order_moves(request)) == in_short(*plan));
  });
  EXPECT_TRUE(held);
}

// The replay has to find the faults of a bad plan, or it proves nothing about a good one.
TEST(Replay, FindsWhatIsWrong) {
  MoveRequest request;
  request.sealed_connectors = {"C1"};
  request.shifts = {{at("1"), at("2"), "a"}, {at("2"), at("1"), "b"}, {at("3"), at("4"), "c"}};
  const MovePlan good = *order_moves(request);
  ASSERT_EQ(in_short(good),
            "unplug_cavity C1.4; move C1.3 > C1.4; plug_cavity > C1.3; park C1.1; move C1.2 > C1.1; "
            "insert_parked > "
            "C1.2");
  EXPECT_TRUE(replay(request, good).empty());
  for (std::size_t drop = 0; drop < good.steps.size(); ++drop) {
    MovePlan bad = good;
    bad.steps.erase(bad.steps.begin() + static_cast<std::ptrdiff_t>(drop));
    EXPECT_FALSE(replay(request, bad).empty()) << "without step " << drop + 1;
  }
  MovePlan bare = good;
  bare.steps[3].insulate = false;
  EXPECT_FALSE(replay(request, bare).empty());
  MovePlan early = good;
  std::swap(early.steps[3], early.steps[4]);
  EXPECT_FALSE(replay(request, early).empty());
}

TEST(AdapterLead, CountsWiresAndJoints) {
  MoveRequest request;
  request.shifts = {{at("1"), at("2"), "a"}, {at("3"), at("3"), "b"}};
  request.retirements = {{at("5"), "c"}};
  request.additions = {{at("6"), "d"}};
  const AdapterLead lead = adapter_lead(request, 10);
  EXPECT_EQ(lead.wires, 12);
  EXPECT_EQ(lead.crossed, 1);
  EXPECT_EQ(lead.joints, 36);
  EXPECT_TRUE(lead.reversible);
  EXPECT_EQ(lead.limits.size(), 4U);
}

TEST(NaturalOrder, ComparesNumbersByValue) {
  const std::vector<std::string> sorted{
      "", "1", "02", "2", "10", "A1", "A2", "A10", "A10b", "B1", "99999999999999999999"};
  EXPECT_LT(natural_compare("10", "99999999999999999999"), 0);
  for (std::size_t i = 0; i + 2 < sorted.size(); ++i)
    EXPECT_LT(natural_compare(sorted[i], sorted[i + 1]), 0) << i;
  const bool held = rc::check("a total order", [](const std::string& a, const std::string& b) {
    RC_ASSERT((natural_compare(a, b) == 0) == (a == b));
    RC_ASSERT(natural_compare(a, b) == -natural_compare(b, a));
  });
  EXPECT_TRUE(held);
}

}  // namespace
}  // namespace loomgraft::compare_moves_test
