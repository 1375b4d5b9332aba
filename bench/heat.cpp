#include <benchmark/benchmark.h>

#include <vector>

#include "heat/protection.h"

namespace {

using namespace loomgraft;

ThermalWire thin_wall(double mm2) {
  return thermal_wire(wire_size_of(square_millimetres(mm2)), *insulation("class B"));
}

void settle_one_wire(benchmark::State& state) {
  const ThermalWire wire = thin_wall(1.0);
  double amperes = 10.0;
  for (auto _ : state) {
    amperes = amperes > 20.0 ? 10.0 : amperes + 0.01;
    const auto settled = steady_temperature(wire, {amperes}, {{60.0}});
    if (!settled || settled->degrees < 60.0) state.SkipWithError("not settled");
    benchmark::DoNotOptimize(settled);
  }
}
BENCHMARK(settle_one_wire)->Unit(benchmark::kMicrosecond);

void settle_bundle_of_sixty(benchmark::State& state) {
  std::vector<BundleWire> bundle;
  for (int i = 0; i < 60; ++i) {
    bundle.push_back({thin_wall(i % 3 == 0 ? 2.5 : i % 3 == 1 ? 1.0 : 0.5), {i % 4 == 0 ? 5.0 : 0.1 * i}});
  }
  for (auto _ : state) {
    const auto settled = bundle_temperature(bundle, {{60.0}});
    if (!settled || settled->hottest.degrees < 60.0) state.SkipWithError("not settled");
    benchmark::DoNotOptimize(settled);
  }
}
BENCHMARK(settle_bundle_of_sixty)->Unit(benchmark::kMicrosecond);

void judge_one_fuse(benchmark::State& state) {
  const ProtectionQuestion question{thin_wall(1.0), {{100.0}, {160.0}}, {70.0}, {{60.0}}, {200.0}};
  const FuseFamily& family = *fuse_family("");
  double rating = 5.0;
  for (auto _ : state) {
    rating = rating > 9.0 ? 5.0 : rating + 0.1;
    const Protection protection = protection_of(family, {rating}, question);
    if (!(protection.margin > 0.0)) state.SkipWithError("not protected");
    benchmark::DoNotOptimize(protection);
  }
}
BENCHMARK(judge_one_fuse)->Unit(benchmark::kMicrosecond);

void follow_one_overload(benchmark::State& state) {
  const ThermalWire wire = thin_wall(1.0);
  double amperes = 30.0;
  for (auto _ : state) {
    amperes = amperes > 60.0 ? 30.0 : amperes + 0.1;
    const Seconds time = time_to_reach(wire, {amperes}, {60.0}, {100.0}, {{60.0}});
    if (!(time.si > 0.0)) state.SkipWithError("no time");
    benchmark::DoNotOptimize(time);
  }
}
BENCHMARK(follow_one_overload)->Unit(benchmark::kMicrosecond);

}  // namespace

BENCHMARK_MAIN();
