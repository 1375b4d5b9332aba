#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <tuple>

#include "loom/routes.h"
#include "prove/order_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::prove {
namespace {

constexpr int unplugged_phase = 1;
constexpr int plugged_phase = 2;
constexpr int low_phase = 3;  // the battery stays low

int phase_of(const ProveCondition& condition) {
  if (!condition.live) return dead_phase;
  if (!condition.setup.unplugged.empty()) return unplugged_phase;
  return condition.setup.supply ? low_phase : plugged_phase;
}

// The places that tests are made at, and the ways between them.
class Places {
 public:
  explicit Places(const Graft& graft) : graft_(graft) {}

  std::uint32_t of(const std::string& id) {
    if (id.empty() || id == "body") return no_place;
    const std::string part = id.starts_with("battery ") ? battery() : id;
    const std::string place = place_at(graft_, part);
    if (place.empty()) return no_place;
    const auto [found, is_new] = numbers_.emplace(place, static_cast<std::uint32_t>(ids_.size()));
    if (is_new) ids_.push_back(place);
    return found->second;
  }

  // A clamp goes where the wire begins.
  std::uint32_t of_clamped(const std::string& wire) {
    const auto is_it = [&](const Wire& one) { return one.id == wire; };
    const auto found = std::ranges::find_if(graft_.wires, is_it);
    if (found != graft_.wires.end()) return of(found->from.at);
    for (const PlanStep& step : graft_.plan) {
      if (step.added && is_it(*step.added)) return of(step.added->from.at);
    }
    return no_place;
  }

  std::uint32_t count() const { return static_cast<std::uint32_t>(ids_.size()); }

  std::vector<double> ways() const {
    std::vector<double> minutes;
    for (const std::string& from : ids_) {
      for (const std::string& to : ids_) minutes.push_back(from == to ? 0.0 : way(from, to));
    }
    return minutes;
  }

 private:
  std::string battery() const {
    const auto found = std::ranges::find(graft_.devices, "battery", &Device::kind);
    return found == graft_.devices.end() ? std::string() : found->id;
  }

  const LoomPlace* place(const std::string& id) const {
    const auto found = std::ranges::find(graft_.places, id, &LoomPlace::id);
    return found == graft_.places.end() ? nullptr : &*found;
  }

  double way(const std::string& from, const std::string& to) const {
    const LoomPlace* a = place(from);
    const LoomPlace* b = place(to);
    const bool drawn = a && b && a->along && a->across && b->along && b->across;
    if (!drawn) return probe_minutes("travel");
    return probe_minutes("travel_whole") * std::hypot(*a->along - *b->along, *a->across - *b->across);
  }

  const Graft& graft_;
  std::map<std::string, std::uint32_t> numbers_;
  std::vector<std::string> ids_;
};

class Points {
 public:
  std::uint32_t of(std::size_t condition, const ProbePoint& point) {
    if (point.text.empty()) return no_point;
    return numbers_
        .emplace(std::tuple(condition, point.at.at, point.at.cavity, point.text),
                 static_cast<std::uint32_t>(numbers_.size()))
        .first->second;
  }
  std::uint32_t count() const { return static_cast<std::uint32_t>(numbers_.size()); }

 private:
  std::map<std::tuple<std::size_t, std::string, std::string, std::string>, std::uint32_t> numbers_;
};

// A harmful fault that a dead test exposes counts in dead tests only, so that it is found before power comes on.
std::vector<std::uint32_t> exposures_that_count(const ProveReport& report, const ProveTest& test,
                                                const std::vector<bool>& found_dead) {
  std::vector<std::uint32_t> exposes;
  for (const std::size_t fault : test.exposes) {
    const bool too_late =
        report.conditions[test.condition].live && found_dead[fault] && is_harmful(report.faults[fault]);
    if (!too_late) exposes.push_back(static_cast<std::uint32_t>(fault));
  }
  return exposes;
}

}  // namespace

HandWork hand_work(const ProveReport& report, const Graft& graft) {
  HandWork work;
  for (const ProveCondition& condition : report.conditions)
    work.conditions.push_back({phase_of(condition), condition.minutes});
  for (const PlaceAccess& access : report.accesses) work.access_minutes.push_back(access.minutes);
  for (const Fault& fault : report.faults)
    work.faults.push_back({fault.matters ? fault.prior : 0.0, is_harmful(fault)});
  std::vector<bool> found_dead(report.faults.size());
  for (const ProveTest& test : report.tests) {
    if (report.conditions[test.condition].live) continue;
    for (const std::size_t fault : test.exposes) found_dead[fault] = true;
  }
  Places places(graft);
  Points points;
  for (const ProveTest& test : report.tests) {
    HandTest made;
    made.condition = static_cast<std::uint32_t>(test.condition);
    const bool clamp = test.kind == TestKind::current;
    made.red = {points.of(test.condition, test.red),
                clamp ? places.of_clamped(test.clamp) : places.of(test.red.at.at), test.red.minutes};
    made.black = {points.of(test.condition, test.black), places.of(test.black.at.at), test.black.minutes};
    made.reading = std::max(0.0, test.minutes - test.red.minutes - test.black.minutes);
    made.accesses.assign(test.accesses.begin(), test.accesses.end());
    made.exposes = exposures_that_count(report, test, found_dead);
    work.tests.push_back(std::move(made));
  }
  work.points = points.count();
  work.places = places.count();
  work.travel = places.ways();
  return work;
}

void Hands::go(std::uint32_t place, StepMinutes& minutes) {
  if (place == no_place) return;
  minutes.travel += work_->way(place_, place);
  place_ = place;
}

StepMinutes Hands::next(const HandTest& test) {
  StepMinutes minutes;
  if (test.condition != condition_) {
    minutes.setup = work_->conditions[test.condition].minutes;
    condition_ = test.condition;
    red_ = black_ = no_point;
  }
  for (const std::uint32_t access : test.accesses) {
    if (!opened_[access]) minutes.access += work_->access_minutes[access];
    opened_[access] = true;
  }
  const bool red = test.red.point != red_ && test.red.point != no_point;
  const bool black = test.black.point != black_ && test.black.point != no_point;
  // The lead for the place where the hands already are comes first.
  const bool black_first = black && test.black.place == place_;
  if (black && black_first) go(test.black.place, minutes);
  if (red) go(test.red.place, minutes);
  if (black && !black_first) go(test.black.place, minutes);
  if (red) minutes.probes += test.red.minutes;
  if (black) minutes.probes += test.black.minutes;
  red_ = test.red.point;
  black_ = test.black.point;
  minutes.reading = test.reading;
  return minutes;
}

std::vector<StepMinutes> minutes_of_steps(const HandWork& work, std::span<const std::size_t> sequence) {
  Hands hands(work);
  std::vector<StepMinutes> minutes;
  minutes.reserve(sequence.size());
  for (const std::size_t test : sequence) minutes.push_back(hands.next(work.tests[test]));
  return minutes;
}

OrderClasses order_classes(const HandWork& work, double harmful_counts) {
  std::vector<std::vector<std::uint32_t>> tests_of(work.faults.size());
  for (std::uint32_t test = 0; test < work.tests.size(); ++test) {
    for (const std::uint32_t fault : work.tests[test].exposes) tests_of[fault].push_back(test);
  }
  OrderClasses classes;
  std::map<std::vector<std::uint32_t>, std::size_t> number;
  double sum = 0.0;
  for (std::size_t fault = 0; fault < tests_of.size(); ++fault) {
    if (tests_of[fault].empty()) continue;
    const auto [found, is_new] = number.emplace(std::move(tests_of[fault]), classes.weight.size());
    if (is_new) {
      classes.weight.push_back(0.0);
      classes.harmful.push_back(false);
    }
    if (work.faults[fault].harmful) classes.harmful[found->second] = true;
    const double weight = work.faults[fault].prior * (work.faults[fault].harmful ? harmful_counts : 1.0);
    classes.weight[found->second] += weight;
    sum += weight;
  }
  for (double& weight : classes.weight) weight /= sum > 0.0 ? sum : 1.0;
  classes.words = words_for_bits(classes.weight.size());
  classes.bits.assign(classes.words * work.tests.size(), 0);
  classes.tests_of.resize(classes.weight.size());
  for (const auto& [tests, at] : number) {
    for (const std::uint32_t test : tests) set_bit(classes.bits.data() + test * classes.words, at);
    classes.tests_of[at] = tests;
  }
  return classes;
}

double OrderClasses::fresh(std::size_t test, const std::vector<std::uint64_t>& shown) const {
  double sum = 0.0;
  for (std::size_t word = 0; word < words; ++word) {
    for (std::uint64_t one = of(test)[word] & ~shown[word]; one != 0; one &= one - 1)
      sum += weight[word * 64 + static_cast<std::size_t>(std::countr_zero(one))];
  }
  return sum;
}

void OrderClasses::note(std::size_t test, std::vector<std::uint64_t>& shown) const {
  for (std::size_t word = 0; word < words; ++word) shown[word] |= of(test)[word];
}

void OrderWalk::take(const HandWork& work, const OrderClasses& classes, std::size_t test, double floor) {
  cost += hands.next(work.tests[test]).sum() * (left + floor);
  left -= classes.fresh(test, shown);
  classes.note(test, shown);
}

double cost_of(const HandWork& work, const OrderClasses& classes, std::span<const std::size_t> sequence,
               double floor) {
  OrderWalk walk(work, classes);
  for (const std::size_t test : sequence) walk.take(work, classes, test, floor);
  return walk.cost;
}

namespace {

constexpr std::size_t most_places = 12;

bool shares_a_point(const HandTest& a, const HandTest& b) {
  return (a.red.point == b.red.point && a.red.point != no_point) ||
         (a.black.point == b.black.point && a.black.point != no_point);
}

// A condition begun for `test` stands before that of `other`.
bool comes_after(const HandWork& work, const HandTest& other, const HandTest& test) {
  const int one = work.conditions[other.condition].phase;
  const int own = work.conditions[test.condition].phase;
  return one > own || (one == own && own == dead_phase && other.condition > test.condition);
}

}  // namespace

std::vector<std::size_t> places_for(const HandWork& work, std::span<const std::size_t> sequence,
                                    std::size_t number) {
  const HandTest& test = work.tests[number];
  std::vector<std::size_t> places;
  bool met = false;
  std::size_t block_end = sequence.size();
  for (std::size_t k = 0; k < sequence.size(); ++k) {
    const HandTest& other = work.tests[sequence[k]];
    if (other.condition == test.condition) {
      if (!met) places.push_back(k);
      met = true;
      block_end = k + 1;
      if (shares_a_point(other, test) && places.size() < most_places) places.push_back(k + 1);
    } else if (!met && comes_after(work, other, test)) {
      return {k};
    }
  }
  if (places.empty() || places.back() != block_end) places.push_back(block_end);
  return places;
}

}  // namespace loomgraft::prove
