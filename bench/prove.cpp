// Test plans for large looms: the choice of tests by itself, and the whole proof.
#include "prove/prove.h"

#include <benchmark/benchmark.h>

#include <map>

#include "prove/plan_internal.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

struct Made {
  Graft graft;
  Proof proof;
  CoverProblem problem;
};

// About as many wires as asked for: a circuit has some two and a half.
const Made& made(int wires) {
  static std::map<int, Made> all;
  const auto [found, is_new] = all.try_emplace(wires);
  if (!is_new) return found->second;
  Made& one = found->second;
  one.graft = samples::random_loom(3, wires * 10 / 29, 12.0).graft;
  ProveOptions options;
  options.faults.whole_loom = true;
  one.proof = prove(one.graft, options);
  one.problem = cover_problem(one.proof.report);
  return one;
}

void plan(benchmark::State& state) {
  const Made& one = made(static_cast<int>(state.range(0)));
  CoverPlan plan;
  for (auto _ : state) plan = cover(one.problem);
  state.counters["wires"] = static_cast<double>(one.graft.wires.size());
  state.counters["faults"] = static_cast<double>(one.problem.faults);
  state.counters["tests"] = static_cast<double>(one.problem.tests.size());
  state.counters["steps"] = static_cast<double>(plan.tests.size());
  state.counters["minutes"] = plan.minutes;
  state.counters["over_bound_pct"] = 100.0 * (plan.minutes / plan.bound - 1.0);
  if (plan.minutes > 1.05 * plan.bound) state.SkipWithError("plan is more than 5 % above its bound");
}
BENCHMARK(plan)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

void whole_proof(benchmark::State& state) {
  const Graft graft = samples::random_loom(3, static_cast<int>(state.range(0)) * 10 / 29, 12.0).graft;
  ProveOptions options;
  options.faults.whole_loom = true;
  for (auto _ : state) benchmark::DoNotOptimize(prove(graft, options));
  state.counters["wires"] = static_cast<double>(graft.wires.size());
}
BENCHMARK(whole_proof)->Arg(100)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
