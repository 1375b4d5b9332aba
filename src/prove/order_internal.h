// What a plan takes in the hands (hands.cpp), its order (order.cpp), and the best of it in a limited time (budget.cpp). For
// the folder only.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "base/bits.h"
#include "prove/prove.h"
#include "setcover/cover.h"

namespace loomgraft::prove {

// A plan as hands work through it: what a step takes depends on the steps before it.
//
// Model   a condition is brought about when a step needs another than the one before; a place is opened once; a lead
//         that is already where the step needs it, in the same condition and the same colour, stays; going from one
//         place to another takes minutes (data/probe_minutes.csv), scaled where both say where they are in the
//         vehicle. The body and whatever has no place is at hand everywhere. The way to the first place is not counted
// Needs   the tests of a report
// Gives   minutes of each step of a sequence, in their parts
// Cost    a step: constant
inline constexpr std::uint32_t no_place = static_cast<std::uint32_t>(-1);
inline constexpr std::uint32_t no_point = static_cast<std::uint32_t>(-1);

struct HandLead {
  std::uint32_t point = no_point;  // of the same number: the same point in the same condition
  std::uint32_t place = no_place;
  double minutes = 0.0;
};

struct HandTest {
  std::uint32_t condition = 0;
  HandLead red;
  HandLead black;
  double reading = 0.0;
  std::vector<std::uint32_t> accesses;
  std::vector<std::uint32_t> exposes;  // that count: see cover_problem()
};

// Earlier phases come first. Within phase 0 conditions keep their order: the bare loom follows the open plugs.
struct HandCondition {
  int phase = 0;
  double minutes = 0.0;
};
inline constexpr int dead_phase = 0;

struct HandFault {
  double prior = 0.0;
  bool harmful = false;
};

struct HandWork {
  std::vector<HandCondition> conditions;
  std::vector<double> access_minutes;
  std::vector<HandTest> tests;
  std::vector<HandFault> faults;
  std::uint32_t points = 0;
  std::uint32_t places = 0;
  std::vector<double> travel;  // places x places

  double way(std::uint32_t from, std::uint32_t to) const {
    return from == no_place || to == no_place ? 0.0 : travel[from * places + to];
  }
};

HandWork hand_work(const ProveReport& report, const Graft& graft);

// What the hands have done so far.
class Hands {
 public:
  explicit Hands(const HandWork& work) : work_(&work), opened_(work.access_minutes.size()) {}
  StepMinutes next(const HandTest& test);

 private:
  void go(std::uint32_t place, StepMinutes& minutes);

  const HandWork* work_;
  std::vector<bool> opened_;
  std::uint32_t condition_ = static_cast<std::uint32_t>(-1);
  std::uint32_t red_ = no_point;
  std::uint32_t black_ = no_point;
  std::uint32_t place_ = no_place;
};

std::vector<StepMinutes> minutes_of_steps(const HandWork& work, std::span<const std::size_t> sequence);

// The order of work: whoever stops early stops well, and the whole takes little more than it must.
//
// Model   minimise the sum over the steps of minutes x (share of the odds not shown before the step + a floor). The share
//         makes what shows much in little time come early, with harmful faults counted several times; the floor makes the
//         whole short (docs/decisions.md). Dead conditions come first, each condition once
// Needs   a choice of tests that exposes what is to be exposed
// Gives   a sequence that exposes at least as much: tests may be exchanged for others. The same work gives the same
//         sequence on every machine: the search ends after so many operations, never by the clock
// Method  greedy by share per minute, then moves of one to three steps, of conditions, and exchanges of tests, while
//         they pay
struct OrderOptions {
  double floor = 0.0;           // as a share of the odds
  double harmful_counts = 1.0;  // times
  std::size_t effort = 0;       // operations
  bool exchange = true;         // of tests for others
};
// From data/prove_figures.csv.
OrderOptions default_order();

// Faults that the same tests expose, as one, and what each test exposes of them.
struct OrderClasses {
  std::size_t words = 0;                             // of 64 classes
  std::vector<double> weight;                        // by class: share of the odds, 1 in all
  std::vector<bool> harmful;                         // by class: any fault of it
  std::vector<std::uint64_t> bits;                   // by test, `words` each
  std::vector<std::vector<std::uint32_t>> tests_of;  // by class, rising

  std::size_t count() const { return weight.size(); }
  // The share of the odds that `test` adds to what is shown.
  double fresh(std::size_t test, const std::vector<std::uint64_t>& shown) const;
  void note(std::size_t test, std::vector<std::uint64_t>& shown) const;
  const std::uint64_t* of(std::size_t test) const { return bits.data() + test * words; }
  bool has(std::size_t test, std::size_t one) const { return has_bit(of(test), one); }
};
OrderClasses order_classes(const HandWork& work, double harmful_counts);

// A sequence as far as it was gone through, and what that costs by the model.
struct OrderWalk {
  Hands hands;
  std::vector<std::uint64_t> shown;
  double left = 1.0;  // share of the odds
  double cost = 0.0;

  OrderWalk(const HandWork& work, const OrderClasses& classes) : hands(work), shown(classes.words, 0) {}
  void take(const HandWork& work, const OrderClasses& classes, std::size_t test, double floor);
};

// What an order costs by the model.
double cost_of(const HandWork& work, const OrderClasses& classes, std::span<const std::size_t> sequence,
               double floor);

// Where a test may come in a sequence: beside steps that share a point with it, and at either end of its condition.
std::vector<std::size_t> places_for(const HandWork& work, std::span<const std::size_t> sequence,
                                    std::size_t test);

std::vector<std::size_t> ordered(const HandWork& work, const std::vector<std::size_t>& chosen,
                                 const OrderOptions& options);

// The most that can be shown in so many minutes.
//
// Model   budgeted maximum coverage with minutes that depend on the order: choose and order tests that take at most so
//         many minutes and expose the largest share of the odds, harmful faults counting several times. Tests with power
//         only where every harmful fault that a test without power exposes has been exposed
// Gives   the sequence, and a bound: the share of the odds that no plan of so many minutes can show more than
// Method  greedy by share per minute from nothing and from the beginning of the whole plan, then exchanges; the bound is
//         that of a 0-1 program in which each point is touched once (cover_problem())
std::vector<std::size_t> best_within(const HandWork& work, double minutes,
                                     const std::vector<std::size_t>& whole_plan, const OrderOptions& options);

// `cover`: the work as a cover; `free_way`: minutes that it counts too many.
double most_within(const HandWork& work, const CoverProblem& cover, double minutes, double free_way);

}  // namespace loomgraft::prove
