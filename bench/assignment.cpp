#include "compare/assignment.h"

#include <benchmark/benchmark.h>

#include <random>

namespace {

using namespace loomgraft::compare;

std::vector<double> random_costs(int n) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> cost(0.0, 100.0);
  std::vector<double> costs(static_cast<std::size_t>(n) * static_cast<std::size_t>(n));
  for (double& value : costs) value = cost(random);
  return costs;
}

void assign_square(benchmark::State& state) {
  const int n = static_cast<int>(state.range(0));
  const std::vector<double> costs = random_costs(n);
  for (auto _ : state) {
    const std::vector<int> result = loomgraft::compare::assign(costs, n, n);
    if (result.front() < 0) state.SkipWithError("a row was not served");
    benchmark::DoNotOptimize(result.data());
  }
}
BENCHMARK(assign_square)->Arg(60)->Arg(250)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
