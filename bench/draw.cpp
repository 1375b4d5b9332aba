#include <benchmark/benchmark.h>

#include "draw/face.h"

namespace {

using namespace loomgraft;

Connector grid(int rows, int columns) {
  Connector connector;
  connector.name = "bench";
  connector.view = View::wire_entry;
  connector.latch = Side::top;
  for (int r = 0; r < rows; ++r) {
    CavityRow row{{}, millimetres(0), millimetres(3.0 * r), millimetres(2.54), millimetres(0.64)};
    for (int c = 0; c < columns; ++c) row.cavities.push_back(std::to_string(r * columns + c + 1));
    connector.rows.push_back(std::move(row));
  }
  return connector;
}

void draw_hundred_cavities(benchmark::State& state) {
  const Connector connector = grid(4, 25);
  std::vector<FaceMark> marks;
  for (int i = 1; i <= 100; ++i) {
    marks.push_back({std::to_string(i), "engine coolant temperature sensor", {"YE", "BU", "Y/L"},
                     all_marks[i % 6], "to C2 cavity 14"});
  }
  for (auto _ : state) {
    const std::string sheet = draw_faces(connector, marks);
    if (sheet.size() < 10000) state.SkipWithError("nothing drawn");
    benchmark::DoNotOptimize(sheet.data());
  }
}
BENCHMARK(draw_hundred_cavities)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
