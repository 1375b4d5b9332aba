// Test plans for large looms: the choice of tests by itself, and a whole proof.
#include "prove/prove.h"

#include <benchmark/benchmark.h>

#include <map>

#include "prove/plan_internal.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

constexpr double circuits_a_wire = 0.25;
// States measured for the choice of tests: dead, fed and at rest. Those that work something add tests alike.
constexpr std::size_t states_taken = 5;

Graft loom_of(std::int64_t wires) {
  return samples::random_loom(3, static_cast<int>(circuits_a_wire * static_cast<double>(wires)), 12.0).graft;
}

struct Made {
  Graft graft;
  CoverProblem problem;
};

// What every test of a whole loom exposes. Harm is left out: it changes which tests count, not how many.
Made make(std::int64_t wires) {
  Made made;
  made.graft = loom_of(wires);
  ProveReport report;
  FaultOptions whole;
  whole.whole_loom = true;
  report.faults = faults_of(made.graft, whole);
  const ProveScope scope = prove_scope(made.graft, report.faults);
  const std::vector<PlannedState> states = planned_states(scope);
  std::vector<NearMiss> misses(report.faults.size());
  for (std::size_t number = 0; number < std::min(states_taken, states.size()); ++number) {
    report.states.push_back(states[number].state);
    const auto bench = state_bench(scope, states[number].state, report.faults);
    if (!bench) continue;
    auto tests =
        measured(*meter_sheet(""), *bench, report.faults,
                 candidates_of(scope, number, states[number], bench->nominal, bench->solution), misses);
    if (!tests) continue;
    for (const MeasuredTest& test : *tests) report.tests.push_back(test.candidate.test);
  }
  made.problem = cover_problem(report);
  return made;
}

const Made& made(std::int64_t wires) {
  static std::map<std::int64_t, Made> all;
  auto found = all.find(wires);
  if (found == all.end()) found = all.emplace(wires, make(wires)).first;
  return found->second;
}

void plan(benchmark::State& state) {
  const Made& one = made(state.range(0));
  CoverPlan plan;
  for (auto _ : state) plan = cover(one.problem);
  state.counters["wires"] = static_cast<double>(one.graft.wires.size());
  state.counters["faults"] = static_cast<double>(one.problem.faults);
  state.counters["tests"] = static_cast<double>(one.problem.tests.size());
  state.counters["steps"] = static_cast<double>(plan.tests.size());
  state.counters["minutes"] = plan.minutes;
  state.counters["over_bound_pct"] = 100.0 * (plan.minutes / plan.bound - 1.0);
  if (plan.minutes > 1.05 * plan.bound) state.SkipWithError("the plan is more than 5 % above its bound");
}
BENCHMARK(plan)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

void whole_proof(benchmark::State& state) {
  const Graft graft = loom_of(state.range(0));
  ProveOptions options;
  options.faults.whole_loom = true;
  for (auto _ : state) benchmark::DoNotOptimize(prove(graft, options));
  state.counters["wires"] = static_cast<double>(graft.wires.size());
}
BENCHMARK(whole_proof)->Arg(100)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
