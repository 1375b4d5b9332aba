// Contention: one cell from the table, one solved with limits of its own, the whole matrix of classes cold,
// and the ten million look-ups a second that ranking donors needs.
#include "contention/contention.h"

#include <benchmark/benchmark.h>

#include <cstdint>

#include "contention/pair.h"

namespace loomgraft {
namespace {

using namespace loomgraft::contention;

Pin pin_of(PinClass pin_class) {
  Pin pin;
  pin.pin_class = pin_class;
  return pin;
}

void contend_by_table(benchmark::State& state) {
  const Pin loom = pin_of(PinClass::supply_30);
  const Pin pin = pin_of(PinClass::low_side_driver);
  for (auto step : state) {
    const Contention result = contend(loom, pin);
    if (result.grade != Grade::damage) state.SkipWithError("wrong grade");
    benchmark::DoNotOptimize(&result);
  }
}
BENCHMARK(contend_by_table);

void contend_with_own_limits(benchmark::State& state) {
  const Pin loom = pin_of(PinClass::low_side_driver);
  Pin pin = pin_of(PinClass::low_side_driver);
  pin.limits.current = Amperes{1.0};
  for (auto step : state) {
    const Contention result = contend(loom, pin);
    if (result.grade != Grade::damage) state.SkipWithError("wrong grade");
    benchmark::DoNotOptimize(&result);
  }
}
BENCHMARK(contend_with_own_limits);

// What making the table costs without its sentences.
void whole_matrix_solved(benchmark::State& state) {
  for (auto step : state) {
    int fires = 0;
    for (std::size_t loom = 0; loom < pin_class_names.size(); ++loom) {
      for (std::size_t pin = 0; pin < pin_class_names.size(); ++pin) {
        const Finding worst =
            worst_of_models(
                corner_model(static_cast<PinClass>(loom), PinSide::loom, SystemVolts::nominal_12),
                corner_model(static_cast<PinClass>(pin), PinSide::module, SystemVolts::nominal_12),
                SystemVolts::nominal_12, loom != pin)
                .worst;
        fires += worst.grade == Grade::fire ? 1 : 0;
      }
    }
    if (fires == 0) state.SkipWithError("no fire found");
  }
}
BENCHMARK(whole_matrix_solved)->Unit(benchmark::kMillisecond);

void ten_million_grades(benchmark::State& state) {
  for (auto step : state) {
    std::uint32_t place = 1;
    std::uint64_t sum = 0;
    for (int k = 0; k < 10'000'000; ++k) {
      place = place * 1664525U + 1013904223U;
      sum += static_cast<std::uint64_t>(
          class_grade(static_cast<PinClass>((place >> 8) % 25U), static_cast<PinClass>((place >> 16) % 25U)));
    }
    if (sum == 0) state.SkipWithError("nothing but harmless pairs");
    benchmark::DoNotOptimize(sum);
  }
}
BENCHMARK(ten_million_grades)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
