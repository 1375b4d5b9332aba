// How a whole proof grows with the loom: time, memory and the plan's gap.
#include <benchmark/benchmark.h>
#include <malloc.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <string>
#include <vector>

#include "find/find.h"
#include "find/practice.h"
#include "find/proof_file.h"
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

// What the command line does for each reading: the kept proof is read, and the odds and the next measurement follow.
void find_from_kept_proof(benchmark::State& state) {
  const auto circuits = static_cast<int>(static_cast<double>(state.range(0)) / wires_a_circuit);
  ProveOptions options;
  options.faults.whole_loom = true;
  const Proof made = prove_loom(samples::random_loom(3, circuits, 12.0).graft, options);
  const std::string bytes = proof_to_bytes(made);
  std::vector<Reading> readings =
      practice_readings(made, made.report.faults[made.report.faults.size() / 2].id);
  constexpr std::size_t taken = 10;
  readings.resize(std::min(readings.size(), taken));
  double reading = 0.0;
  for (auto _ : state) {
    const auto begun = std::chrono::steady_clock::now();
    const auto kept = proof_from_bytes(bytes);
    reading += std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    benchmark::DoNotOptimize(find_fault(*kept, readings));
  }
  state.counters["file_MB"] = static_cast<double>(bytes.size()) / 1e6;
  state.counters["file_ms"] = reading / static_cast<double>(state.iterations());
}
BENCHMARK(find_from_kept_proof)->Arg(240)->Unit(benchmark::kMillisecond)->Iterations(5)->UseRealTime();

}  // namespace
}  // namespace loomgraft

// With the program's own settings of memory (src/cli/main.cpp).
int main(int argc, char** argv) {
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 128 << 20);
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
}
