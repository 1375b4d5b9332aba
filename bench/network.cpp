// Operating points of looms of growing size, beside ngspice's on the same netlist in the same run.
//
// A wire of this loom has seven nodes and eight branches: a fuse's rail, contact, wire, contact, consumer,
// contact, wire, earth splice; every node leaks. One consumer in ten has a diode across it, one in ten is a
// module's driver with a limit, one in ten is switched off. `local`: sixteen wires share a rail, and their
// earths are joined in the same place of the vehicle or the next one. `loopy`: any rail, any splice.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <limits>
#include <optional>
#include <random>

#include "circuit/circuit.h"
#include "network/loom_network.h"
#include "network/netlist.h"
#include "tests/network/ngspice.h"
#include "tests/network/random_loom.h"

namespace loomgraft {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

enum class Shape { local, loopy };

Circuit loom_of(std::uint32_t wires, Shape shape = Shape::local) {
  std::mt19937_64 random(wires);
  const auto draw = [&](double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  };
  Circuit circuit;
  const NodeId plus = circuit.add_node();
  const NodeId minus = circuit.add_node();
  circuit.sources.push_back({plus, minus, {12.6}, {0.01}, {unlimited}});
  circuit.resistors.push_back({minus, earth_node, {5e-4}});
  std::vector<NodeId> rails;
  std::vector<NodeId> splices;
  for (std::uint32_t k = 0; k <= wires / 16; ++k) {
    rails.push_back(circuit.add_node());
    splices.push_back(circuit.add_node());
    circuit.resistors.push_back({plus, rails.back(), {draw(2e-3, 0.02)}});
    circuit.resistors.push_back({splices.back(), earth_node, {draw(1e-3, 0.01)}});
  }
  for (std::uint32_t k = 0; k < wires; ++k) {
    const std::size_t group = shape == Shape::local ? k / 16 : random() % rails.size();
    const std::size_t earth = shape == Shape::local ? group + random() % 2 : random() % splices.size();
    NodeId at = rails[group];
    NodeId chain[7];
    for (NodeId& node : chain) node = circuit.add_node();
    const double ohms[] = {5e-3, draw(0.01, 0.2), 5e-3};
    for (int step = 0; step < 3; ++step) {
      circuit.resistors.push_back({at, chain[step], {ohms[step]}});
      at = chain[step];
    }
    const double load = k % 10 == 2 ? 1e8 : draw(2.0, 2000.0);
    if (k % 10 == 1) {
      circuit.sources.push_back({chain[3], at, {0.0}, {0.5}, {0.1}});
    } else {
      circuit.resistors.push_back({at, chain[3], {load}});
    }
    if (k % 10 == 0) circuit.diodes.push_back({chain[3], at, {0.7}, {0.05}, {1e7}});
    for (int step = 4; step < 7; ++step) {
      circuit.resistors.push_back({chain[step - 1], chain[step], {ohms[step - 4]}});
    }
    circuit.resistors.push_back({chain[6], splices[earth % splices.size()], {2e-3}});
  }
  for (std::uint32_t k = 1; k < circuit.node_count; ++k) {
    circuit.resistors.push_back({{k}, earth_node, {1e10}});
  }
  return circuit;
}

void operating_point(benchmark::State& state) {
  const Circuit circuit = loom_of(static_cast<std::uint32_t>(state.range(0)));
  for (auto step : state) {
    const auto point = solve(circuit);
    if (!point) state.SkipWithError("no operating point");
    benchmark::DoNotOptimize(&point);
  }
}
BENCHMARK(operating_point)->Arg(10)->Arg(100)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

void loopy_operating_point(benchmark::State& state) {
  const Circuit circuit = loom_of(static_cast<std::uint32_t>(state.range(0)), Shape::loopy);
  for (auto step : state) {
    const auto point = solve(circuit);
    if (!point) state.SkipWithError("no operating point");
    benchmark::DoNotOptimize(&point);
  }
}
BENCHMARK(loopy_operating_point)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

void operating_point_again(benchmark::State& state) {
  const Circuit circuit = loom_of(static_cast<std::uint32_t>(state.range(0)));
  Solver solver;
  for (auto step : state) {
    const auto point = solver.solve(circuit);
    if (!point) state.SkipWithError("no operating point");
    benchmark::DoNotOptimize(&point);
  }
}
BENCHMARK(operating_point_again)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

// A whole loom with fuses, relays, diodes, sensors and a module, from its document.
samples::DrawnLoom drawn_loom(std::int64_t wires) {
  samples::DrawnLoom loom = samples::random_loom(1, static_cast<int>(wires * 3 / 10), 12.0);
  loom.condition.key = KeyPosition::on;
  return loom;
}

void network_of_document(benchmark::State& state) {
  const samples::DrawnLoom loom = drawn_loom(state.range(0));
  for (auto step : state) {
    const LoomNetwork network = network_of(loom.graft, loom.condition);
    benchmark::DoNotOptimize(&network);
  }
  state.counters["wires"] = static_cast<double>(loom.graft.wires.size());
}
BENCHMARK(network_of_document)->Arg(100)->Arg(10000)->Unit(benchmark::kMillisecond);

// With all relays at rest as they come; then until every relay has found its place.
void loom_operating_point(benchmark::State& state) {
  const samples::DrawnLoom loom = drawn_loom(state.range(0));
  const LoomNetwork network = network_of(loom.graft, loom.condition);
  for (auto step : state) {
    const auto point = solve(network.circuit);
    if (!point) state.SkipWithError("no operating point");
    benchmark::DoNotOptimize(&point);
  }
  state.counters["wires"] = static_cast<double>(loom.graft.wires.size());
  state.counters["nodes"] = static_cast<double>(network.nodes.size());
}
BENCHMARK(loom_operating_point)->Arg(100)->Arg(10000)->Unit(benchmark::kMillisecond);

void loom_with_relays(benchmark::State& state) {
  const samples::DrawnLoom loom = drawn_loom(state.range(0));
  LoomNetwork network = network_of(loom.graft, loom.condition);
  double pulled = 0;
  for (auto step : state) {
    const auto solution = solve(network);
    if (!solution) return state.SkipWithError("no operating point");
    pulled = static_cast<double>(std::ranges::count(solution->relays, RelayPosition::pulled_in));
    benchmark::DoNotOptimize(&solution);
  }
  if (pulled == 0) state.SkipWithError("no relay has pulled in");
  state.counters["pulled_in"] = pulled;
}
BENCHMARK(loom_with_relays)->Arg(100)->Arg(10000)->Unit(benchmark::kMillisecond);

// The deck with one print instead of thousands, and what ngspice says of its own time.
std::string timed_deck(const Circuit& circuit, const OperatingPoint* start) {
  const std::string whole = netlist(circuit, start);
  std::string deck;
  for (std::size_t at = 0; at < whole.size();) {
    const std::size_t end = whole.find('\n', at) + 1;
    const std::string line = whole.substr(at, end - at);
    at = end;
    if (!line.starts_with("print")) deck += line;
    if (line.starts_with("op")) deck += "print v(n1)\nrusage\n";
  }
  return deck;
}

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double number_after(const std::string& text, const std::string& words) {
  const std::size_t at = text.find(words);
  return at == std::string::npos ? std::nan("") : std::strtod(text.c_str() + at + words.size(), nullptr);
}

// Both solvers on one netlist, each from nothing; the quickest of several runs of each. `ngspice_ms` is its
// analysis alone, `ngspice_process_ms` with reading the deck; `ratio` counts the analysis alone.
void run_beside_ngspice(benchmark::State& state, const Circuit& circuit) {
  if (!reference::have_ngspice()) return state.SkipWithError("ngspice is not installed");
  double process = 1e9;
  double analysis = 1e9;
  double volts = std::nan("");
  std::optional<OperatingPoint> start;
  for (int run = 0; run < 3; ++run) {
    const auto began = std::chrono::steady_clock::now();
    const std::string printed = reference::ngspice_output(timed_deck(circuit, start ? &*start : nullptr));
    if (std::isnan(number_after(printed, "v(n1) = ")) && !start) {
      // Its Newton method swings on this deck; with our answer as its start it has less to do than we.
      const auto point = solve(circuit);
      if (point) start = *point;
      state.SetLabel("ngspice started at the answer");
      continue;
    }
    process = std::min(process, seconds_since(began));
    analysis = std::min(analysis, number_after(printed, "Total analysis time (seconds) = "));
    volts = number_after(printed, "v(n1) = ");
  }
  if (std::isnan(volts)) return state.SkipWithError("ngspice found no operating point");
  double best = 1e9;
  for (auto step : state) {
    const auto start = std::chrono::steady_clock::now();
    const auto point = solve(circuit);
    best = std::min(best, seconds_since(start));
    if (!point || !(std::abs(point->nodes[1].si - volts) < 1e-5)) state.SkipWithError("answers differ");
  }
  state.counters["ngspice_ms"] = analysis * 1e3;
  state.counters["ngspice_process_ms"] = process * 1e3;
  state.counters["best_ms"] = best * 1e3;
  state.counters["ratio"] = analysis / best;
}

void beside_ngspice(benchmark::State& state) {
  run_beside_ngspice(state, loom_of(static_cast<std::uint32_t>(state.range(0))));
}
BENCHMARK(beside_ngspice)->Arg(100)->Arg(1000)->Arg(10000)->Iterations(15)->Unit(benchmark::kMillisecond);

void loom_beside_ngspice(benchmark::State& state) {
  const samples::DrawnLoom loom = drawn_loom(state.range(0));
  run_beside_ngspice(state, network_of(loom.graft, loom.condition).circuit);
}
// Larger ones take ngspice minutes.
BENCHMARK(loom_beside_ngspice)->Arg(100)->Arg(1000)->Iterations(15)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
