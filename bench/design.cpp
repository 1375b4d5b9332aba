// The design of the demo's circuits, remedies included, and without them.
#include "design/design.h"

#include <benchmark/benchmark.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "loom/graft_json.h"

namespace loomgraft {
namespace {

Graft demo() {
  std::ifstream file(LOOMGRAFT_ROOT "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  GraftReading reading = graft_from_json(text.str(), "graft.json");
  if (!reading.graft) std::abort();
  return std::move(*reading.graft);
}

void design_demo(benchmark::State& state) {
  const Graft graft = demo();
  std::size_t circuits = 0;
  for (auto _ : state) {
    const DesignReport report = design_circuits(graft, {state.range(0) != 0});
    circuits = report.circuits.size();
    benchmark::DoNotOptimize(report.passes);
  }
  // The demo has three faults that the design must find, or the figure is worth nothing.
  if (design_circuits(graft).passes) std::abort();
  state.counters["circuits"] = static_cast<double>(circuits);
}
BENCHMARK(design_demo)->Arg(0)->Arg(1)->ArgName("remedies")->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
