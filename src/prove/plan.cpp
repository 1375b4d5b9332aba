// The cover chooses tests that share points; the order then exchanges some for others that suit the hands better.
#include <algorithm>
#include <cmath>
#include <limits>

#include "prove/figures.h"
#include "prove/order_internal.h"
#include "prove/plan_internal.h"

namespace loomgraft::prove {
namespace {

// Set-ups of a cover, in this order: conditions, places to open, points that a lead touches, places to go to.
struct SetupNumbers {
  std::uint32_t access = 0;
  std::uint32_t point = 0;
  std::uint32_t place = 0;
};

SetupNumbers setup_numbers(const HandWork& work) {
  SetupNumbers first;
  first.access = static_cast<std::uint32_t>(work.conditions.size());
  first.point = first.access + static_cast<std::uint32_t>(work.access_minutes.size());
  first.place = first.point + work.points;
  return first;
}

// The shortest way to each place. All but one of the places of a plan are gone to.
std::vector<double> shortest_ways(const HandWork& work) {
  std::vector<double> ways(work.places, 0.0);
  for (std::uint32_t to = 0; to < work.places; ++to) {
    double least = std::numeric_limits<double>::infinity();
    for (std::uint32_t from = 0; from < work.places; ++from) {
      if (from != to) least = std::min(least, work.way(from, to));
    }
    if (std::isfinite(least)) ways[to] = least;
  }
  return ways;
}

// Each point of a condition is touched at least once, and each place is gone to: no sequence takes less.
CoverProblem cover_problem(const HandWork& work) {
  const SetupNumbers first = setup_numbers(work);
  CoverProblem problem;
  problem.faults = work.faults.size();
  for (const HandCondition& condition : work.conditions) problem.setup_minutes.push_back(condition.minutes);
  problem.setup_minutes.insert(problem.setup_minutes.end(), work.access_minutes.begin(),
                               work.access_minutes.end());
  problem.setup_minutes.resize(first.place, 0.0);
  const std::vector<double> ways = shortest_ways(work);
  problem.setup_minutes.insert(problem.setup_minutes.end(), ways.begin(), ways.end());
  for (const HandTest& test : work.tests) {
    CoverTest made{test.reading, {test.condition}, test.exposes};
    for (const std::uint32_t access : test.accesses) made.setups.push_back(first.access + access);
    for (const HandLead& lead : {test.red, test.black}) {
      if (lead.point != no_point) {
        made.setups.push_back(first.point + lead.point);
        problem.setup_minutes[first.point + lead.point] = lead.minutes;
      }
      if (lead.place != no_place && std::ranges::count(made.setups, first.place + lead.place) == 0)
        made.setups.push_back(first.place + lead.place);
    }
    problem.tests.push_back(std::move(made));
  }
  return problem;
}

double longest_of(const std::vector<double>& ways) {
  return ways.empty() ? 0.0 : *std::ranges::max_element(ways);
}

enum class Leads { both, cheaper };

// In a large loom points as set-ups make the cover too hard: each test counts its leads. Two tests of a condition differ
// in a point at least, so each test moves a lead, and with the cheaper one counted no sequence takes less.
CoverProblem problem_of_leads(const HandWork& work, Leads leads) {
  const SetupNumbers first = setup_numbers(work);
  CoverProblem problem = cover_problem(work);
  for (std::size_t k = 0; k < work.tests.size(); ++k) {
    const HandTest& test = work.tests[k];
    const double red = test.red.minutes;
    const double black = test.black.minutes;
    const bool one = test.red.point == no_point || test.black.point == no_point;
    problem.tests[k].minutes += one || leads == Leads::both ? red + black : std::min(red, black);
    std::erase_if(problem.tests[k].setups, [&](std::uint32_t setup) { return setup >= first.point; });
  }
  problem.setup_minutes.resize(first.point);
  return problem;
}

void take(ProveReport& report, const HandWork& work, std::vector<std::size_t> plan) {
  report.plan = std::move(plan);
  report.steps = minutes_of_steps(work, report.plan);
  report.plan_minutes = 0.0;
  for (const StepMinutes& step : report.steps) report.plan_minutes += step.sum();
}

double share_shown(const HandWork& work, const std::vector<std::size_t>& plan) {
  std::vector<bool> shown(work.faults.size());
  for (const std::size_t test : plan) {
    for (const std::uint32_t fault : work.tests[test].exposes) shown[fault] = true;
  }
  double part = 0.0;
  double whole = 0.0;
  for (std::size_t k = 0; k < shown.size(); ++k) {
    whole += work.faults[k].prior;
    if (shown[k]) part += work.faults[k].prior;
  }
  return whole > 0.0 ? part / whole : 0.0;
}

// Of the odds of all faults, those that any test exposes.
double share_testable(const HandWork& work) {
  std::vector<std::size_t> all(work.tests.size());
  for (std::size_t k = 0; k < all.size(); ++k) all[k] = k;
  return share_shown(work, all);
}

constexpr CoverOptions close_enough{20, 0.02};

}  // namespace

CoverProblem cover_problem(const ProveReport& report, const Graft& graft) {
  return cover_problem(hand_work(report, graft));
}

CoverPlan plan_choice(const ProveReport& report, const Graft& graft) {
  return cover(cover_problem(report, graft), close_enough);
}

void make_plan(const Graft& graft, const ProveOptions& options, ProveReport& report,
               const CoverPlan* made_choice) {
  const HandWork work = hand_work(report, graft);
  const bool large = work.tests.size() > static_cast<std::size_t>(prove_figure("cover_points_up_to"));
  const double longest = longest_of(shortest_ways(work));
  const CoverPlan chosen =
      made_choice && !large
          ? *made_choice
          : cover(large ? problem_of_leads(work, Leads::both) : cover_problem(work), close_enough);
  take(report, work, ordered(work, chosen.tests, default_order()));
  const double bound =
      large ? cover(problem_of_leads(work, Leads::cheaper), close_enough).bound : chosen.bound - longest;
  report.bound_minutes = std::clamp(bound, 0.0, report.plan_minutes);
  constexpr double rounding = 1e-6;
  report.optimal = report.plan_minutes <= report.bound_minutes + rounding;
  if (!options.minutes || *options.minutes >= report.plan_minutes) return;
  const double most = most_within(work, large ? problem_of_leads(work, Leads::cheaper) : cover_problem(work),
                                  *options.minutes, large ? 0.0 : longest);
  take(report, work, best_within(work, *options.minutes, report.plan, default_order()));
  const double shown = share_shown(work, report.plan);
  report.budget = TimeBudget{*options.minutes, shown, std::max(shown, most * share_testable(work))};
  report.bound_minutes = 0.0;
  report.optimal = false;
}

}  // namespace loomgraft::prove
