// The whole comparison of two modules of 250 pins, from the document to the report.
#include "compare/compare.h"

#include <benchmark/benchmark.h>

#include "tests/compare/synthetic_modules.h"

namespace {

using namespace loomgraft;

void compare_modules(benchmark::State& state) {
  const auto size = static_cast<std::size_t>(state.range(0));
  const auto found = synthetic::make_module("found", size, 1);
  const auto donor = synthetic::make_module("donor", size, 2, &found.module, 70);
  Graft graft = synthetic::graft_of(found);
  graft.connectors.insert(graft.connectors.end(), donor.connectors.begin(), donor.connectors.end());
  graft.modules.push_back(donor.module);
  for (auto run : state) {
    CompareReport report = compare_modules(graft, "found", "donor");
    benchmark::DoNotOptimize(report);
  }
}
BENCHMARK(compare_modules)->Arg(100)->Arg(250)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
