// A plan as hands work through it: what a step takes depends on the steps before it. For the folder only.
//
// Model   a condition is brought about when a step needs another than the one before; a place is opened once; a lead
//         that is already where the step needs it, in the same condition and the same colour, stays; going from one
//         place to another takes minutes (data/probe_minutes.csv), scaled where both say where they are in the
//         vehicle. The body and whatever has no place is at hand everywhere. The way to the first place is not counted
// Needs   the tests of a report
// Gives   minutes of each step of a sequence, in their parts
// Cost    a step: constant
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "prove/prove.h"

namespace loomgraft::prove {

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

}  // namespace loomgraft::prove
