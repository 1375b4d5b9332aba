// find_plug on 8 connectors of 100 cavities with an observation of 10 cavities, next cavity included: the
// promise is 5 ms.
#include "plug/plug.h"

#include <benchmark/benchmark.h>

#include <array>

namespace loomgraft {
namespace {

constexpr std::array<const char*, 12> hues{"BK", "BN", "RD", "OG", "YE", "GN",
                                           "BU", "VT", "GY", "WH", "PK", "TQ"};

Colour colour_number(unsigned n) {
  Colour colour;
  colour.base = hues[n % hues.size()];
  if (n % 5 != 0) colour.tracer = hues[(n / 12 + n * 7 + 1) % hues.size()];
  if (colour.tracer == colour.base) colour.tracer.clear();
  return colour;
}

Connector hundred_way(unsigned number) {
  Connector connector;
  connector.id = std::string(1, static_cast<char>('A' + number));
  connector.view = View::wire_entry;
  connector.latch = Side::top;
  for (int r = 0; r < 4; ++r) {
    CavityRow row{{}, millimetres(2.5), millimetres(2.5 + 4.0 * r), millimetres(2.5), millimetres(0.64)};
    for (int c = 0; c < 25; ++c) row.cavities.push_back(std::to_string(r * 25 + c + 1));
    connector.rows.push_back(row);
  }
  return connector;
}

std::vector<Pin> pins_of(const Connector& connector, unsigned number) {
  std::vector<Pin> pins;
  unsigned n = number * 1009;
  for (const CavityRow& row : connector.rows) {
    for (const std::string& cavity : row.cavities) {
      Pin pin;
      pin.at = {connector.id, cavity};
      pin.signal = cavity;
      pin.colour = colour_number(n += 37 + number);
      pins.push_back(pin);
    }
  }
  return pins;
}

// Arguments: observed cavities, and how many of them without a position. With none every hypothesis stays
// open, which is the most work for the next cavity.
void find(benchmark::State& state) {
  std::vector<Connector> connectors;
  for (unsigned i = 0; i < 8; ++i) connectors.push_back(hundred_way(i));
  std::vector<PlugCandidate> candidates;
  for (unsigned i = 0; i < 8; ++i) candidates.push_back({&connectors[i], pins_of(connectors[i], i)});
  Observation observation;
  for (int i = 0; i < static_cast<int>(state.range(0)); ++i) {
    const int row = i % 4 + 1;
    const int column = i * 2 + 1;
    ObservedCavity observed{row, column, {}, {}, {}};
    if (i < static_cast<int>(state.range(1))) observed.row = observed.column = 0;
    observed.colour = candidates[3].pins[static_cast<std::size_t>((row - 1) * 25 + column - 1)].colour;
    observation.cavities.push_back(observed);
  }
  for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(find_plug(candidates, observation));
}
BENCHMARK(find)->Args({10, 0})->Args({10, 5})->Args({10, 10})->Args({1, 0})->Args({0, 0})->Unit(
    benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
