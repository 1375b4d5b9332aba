// Reading pin tables: a large table whole, and one signal name.
#include <benchmark/benchmark.h>

#include <string>
#include <vector>

#include "gather/read_tables.h"
#include "standards/dictionary.h"

namespace {

using namespace loomgraft;

std::string large_table(int rows) {
  const std::vector<std::string> signals{
      "Injector",      "Coil",        "GND",   "TPS sensor input",    "CAN 0 HI", "+12V In",
      "Coolant temp.", "Digital Out", "spare", "fan relay (low side)"};
  const std::vector<std::string> colours{"BK", "L", "G/Y", "BR", "W/R", "SB", ""};
  std::string text = "Connector,Cavity,Colour,Function,Notes\n";
  for (int i = 0; i < rows; ++i) {
    const auto pick = static_cast<std::size_t>(i);
    text += "C" + std::to_string(i / 60) + "," + std::to_string(i % 60 + 1) + "," +
            colours[pick % colours.size()] + "," + signals[pick % signals.size()] + " " +
            std::to_string(i % 97) + ",note " + std::to_string(i) + "\n";
  }
  return text;
}

void read_large_table(benchmark::State& state) {
  const std::string text = large_table(static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(read_tables(text, "large.csv"));
  state.SetItemsProcessed(state.iterations() * state.range(0));
}
BENCHMARK(read_large_table)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

void normalise_name(benchmark::State& state) {
  const std::vector<std::string> names{"Throttle position sensor #2", "CAN3-H",
                                       "Fuel Pump Relay Output (low)", "Masse"};
  std::size_t i = 0;
  for (auto _ : state) benchmark::DoNotOptimize(term_dictionary().normalise(names[i++ % names.size()]));
}
BENCHMARK(normalise_name);

}  // namespace

BENCHMARK_MAIN();
