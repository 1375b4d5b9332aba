// Test plans for large looms: the choice of tests by itself, and a whole proof.
#include "prove/prove.h"

#include <benchmark/benchmark.h>

#include <cmath>
#include <map>

#include "prove/plan_internal.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

using namespace loomgraft::prove;

constexpr double circuits_a_wire = 0.25;
// States measured for the choice of tests: the dead ones. Those with power add tests alike.
constexpr std::size_t conditions_taken = 2;

Graft loom_of(std::int64_t wires) {
  return samples::random_loom(3, static_cast<int>(circuits_a_wire * static_cast<double>(wires)), 12.0).graft;
}

struct Made {
  Graft graft;
  CoverProblem problem;
};

// What every test of a whole loom exposes, with bands a tenth wide either way: how wide they are changes
// which faults show, not how hard the choice is. Harm is left out likewise.
void add_tests(ProveReport& report, const ConditionBench& bench, std::vector<Candidate> candidates) {
  const MeterSheet& meter = *meter_sheet("");
  std::vector<DictionaryTest> probes;
  for (const Candidate& candidate : candidates) probes.push_back(candidate.probe);
  (void)fault_dictionary(
      bench.nominal, probes, bench.changes,
      [&](std::size_t number, double healthy, std::span<const double> under) {
        const MeterQuantity quantity = candidates[number].quantity;
        const ReadingSpan span{healthy, healthy - 0.1 * std::abs(healthy), healthy + 0.1 * std::abs(healthy)};
        const Band band = healthy_band(meter, quantity, span);
        ProveTest test = candidates[number].test;
        for (std::size_t fault = 0; fault < under.size(); ++fault) {
          if (is_exposed(meter, quantity, band, fault_band(meter, quantity, span, under[fault])))
            test.exposes.push_back(fault);
        }
        report.tests.push_back(std::move(test));
      });
}

Made make(std::int64_t wires) {
  Made made;
  made.graft = loom_of(wires);
  ProveReport report;
  FaultOptions whole;
  whole.whole_loom = true;
  report.faults = faults_of(made.graft, whole);
  const ProveScope scope = prove_scope(frame_of(made.graft, LoomState::as_planned), report.faults);
  const std::vector<PlannedCondition> conditions = planned_conditions(scope);
  for (std::size_t number = 0; number < std::min(conditions_taken, conditions.size()); ++number) {
    report.conditions.push_back(conditions[number].condition);
    const auto bench = condition_bench(scope, conditions[number].condition, report.faults);
    if (bench)
      add_tests(report, *bench,
                candidates_of(scope, number, conditions[number], bench->nominal, bench->solution));
  }
  made.problem = cover_problem(report, made.graft);
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
  for (auto _ : state) benchmark::DoNotOptimize(prove_loom(graft, options));
  state.counters["wires"] = static_cast<double>(graft.wires.size());
}
BENCHMARK(whole_proof)->Arg(100)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
