// How long it takes from the bytes of a file to its tables.
#include <benchmark/benchmark.h>

#include <string>

#include "tables/table.h"

namespace {

constexpr int rows = 10'000;

std::string delimited_text() {
  std::string text = "Pin,Signal,Colour,Size,Class,Note\n";
  for (int i = 1; i <= rows; ++i) {
    const std::string number = std::to_string(i);
    text.append(number)
        .append(",Coolant temperature sensor ")
        .append(number)
        .append(",BU/YE,0.75,thermistor,see sheet ")
        .append(number)
        .append("\n");
  }
  return text;
}

std::string markdown_text() {
  std::string text = "| Pin | Signal | Colour | Size | Class | Note |\n|---|---|---|---|---|---|\n";
  for (int i = 1; i <= rows; ++i) {
    const std::string number = std::to_string(i);
    text.append("| ")
        .append(number)
        .append(" | Coolant temperature sensor ")
        .append(number)
        .append(" | BU/YE | 0.75 | thermistor | see sheet ")
        .append(number)
        .append(" |\n");
  }
  return text;
}

void find_in(benchmark::State& state, const std::string& text) {
  for (auto _ : state) {
    const loomgraft::TableText found = loomgraft::find_tables(text, "bench");
    if (found.tables.size() != 1 || found.tables[0].rows.size() != rows ||
        found.tables[0].header.size() != 6) {
      state.SkipWithError("the table was not read as it was written");
      return;
    }
  }
  state.SetBytesProcessed(static_cast<std::int64_t>(state.iterations()) *
                          static_cast<std::int64_t>(text.size()));
}

void find_delimited(benchmark::State& state) {
  find_in(state, delimited_text());
}
void find_markdown(benchmark::State& state) {
  find_in(state, markdown_text());
}

BENCHMARK(find_delimited)->Unit(benchmark::kMillisecond);
BENCHMARK(find_markdown)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
