// How a whole proof grows with the loom: time, memory and the plan's gap.
#include <benchmark/benchmark.h>

#include <fstream>
#include <string>

#include "prove/prove.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

constexpr double wires_a_circuit = 4.0;

// The most memory that the program has held so far.
double peak_megabytes() {
  std::ifstream status("/proc/self/status");
  for (std::string word; status >> word;) {
    double kilobytes = 0.0;
    if (word == "VmHWM:" && status >> kilobytes) return kilobytes / 1024.0;
  }
  return 0.0;
}

void proof(benchmark::State& state) {
  const auto circuits = static_cast<int>(static_cast<double>(state.range(0)) / wires_a_circuit);
  const Graft graft = samples::random_loom(3, circuits, 12.0).graft;
  ProveOptions options;
  options.faults.whole_loom = true;
  Proof made;
  for (auto _ : state) made = prove_loom(graft, options);
  const ProveReport& report = made.report;
  state.counters["wires"] = static_cast<double>(graft.wires.size());
  state.counters["faults"] = static_cast<double>(report.faults.size());
  state.counters["tests"] = static_cast<double>(report.tests.size());
  state.counters["steps"] = static_cast<double>(report.plan.size());
  state.counters["minutes"] = report.plan_minutes;
  state.counters["over_bound_pct"] = 100.0 * (report.plan_minutes / report.bound_minutes - 1.0);
  state.counters["peak_MB"] = peak_megabytes();
}
// Rising, so that each peak is its own.
BENCHMARK(proof)->Arg(100)->Arg(240)->Arg(500)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
