// The diagram of a module with 200 wires: figure to keep below 150 ms.
#include "diagram/diagram.h"

#include <benchmark/benchmark.h>

#include "diagram/paper.h"
#include "tests/diagram/sample_graft.h"

namespace {

using namespace loomgraft;

// A module as they are: feeds through fuses, valves and lamps between a feed and a driver, sensors with their
// own earth at a joint, switches to earth, half of it behind the bulkhead.
Graft module_with(std::size_t wires) {
  Graft g;
  g.title = "bench";
  Module module;
  module.id = "ecu";
  module.name = "controller";
  module.role = ModuleRole::found;
  module.connectors = {"ecu.C1", "ecu.C2"};
  g.connectors = {plug("ecu.C1", "C1"), plug("ecu.C2", "C2")};
  g.modules = {module};
  g.places = {{"cab", "cab", {}, false, false, {}, {}, {}},
              {"bay", "engine bay", {}, false, false, {}, {}, {}}};
  g.paths = {{"bulkhead", "cab", "bay", millimetres(600), {}, {}, {}, millimetres(30), ""}};
  g.devices = {part("bat", "battery", "battery", "bay"), part("J1", "splice", "joint of the feeds", "bay"),
               part("J2", "splice", "joint of sensor earths", "bay"), part("G1", "earth", "earth", "cab"),
               part("F1", "fuse", "fuse of the valves", "bay")};
  g.wires = {wire("feed", {"bat", "+"}, {"F1", "1"}, "RD"),
             wire("fed", {"F1", "2"}, {"J1", "1"}, "RD", "YE")};
  std::size_t pin = 0;
  Dice dice;
  const auto cavity = [&]() -> WireEnd {
    ++pin;
    return {pin % 2 == 0 ? "ecu.C1" : "ecu.C2", std::to_string(1 + pin / 2)};
  };
  const std::vector<std::string> through{"bulkhead"};
  for (std::size_t d = 0; g.wires.size() + 3 <= wires; ++d) {
    const std::string id = "d" + std::to_string(d);
    const std::string w = "w" + std::to_string(d);
    switch (dice.below(4)) {
      case 0:
        g.devices.push_back(part(id, "valve", "valve " + id, "bay"));
        g.wires.push_back(wire(w + "a", cavity(), {id, "2"}, "GN", "YE", through));
        g.wires.push_back(wire(w + "b", {id, "1"}, {"J1", "1"}, "RD", "YE"));
        break;
      case 1:
        g.devices.push_back(part(id, "sensor_hall", "sensor " + id, "bay"));
        g.wires.push_back(wire(w + "a", cavity(), {id, "1"}, "OG", "", through));
        g.wires.push_back(wire(w + "b", {id, "2"}, {"J2", "1"}, "BN", "BU"));
        g.wires.push_back(wire(w + "c", cavity(), {id, "3"}, "PK", "", through));
        break;
      case 2:
        g.devices.push_back(part(id, "switch_to_earth", "switch " + id, "cab"));
        g.wires.push_back(wire(w + "a", cavity(), {id, "1"}, "GY", "WH"));
        g.wires.push_back(wire(w + "b", {id, "2"}, {"G1", "1"}, "BN"));
        break;
      default:
        g.devices.push_back(part(id, "thermistor", "thermistor " + id, "bay"));
        g.wires.push_back(wire(w + "a", cavity(), {id, "1"}, "BU", "WH", through));
        g.wires.push_back(wire(w + "b", {id, "2"}, {"J2", "1"}, "BN", "BU"));
    }
  }
  g.wires.push_back(wire("return", {"J2", "1"}, cavity(), "BN", "BU", through));
  return g;
}

void draw(benchmark::State& state, const Graft& graft) {
  std::size_t crossings = 0;
  for (auto _ : state) {
    const Diagram diagram = draw_diagram(graft);
    if (diagram.lines.size() < graft.wires.size() / 2) state.SkipWithError("wires are missing");
    crossings = diagram.crossings;
    benchmark::DoNotOptimize(diagram.svg.data());
  }
  state.counters["wires"] = static_cast<double>(graft.wires.size());
  state.counters["crossings"] = static_cast<double>(crossings);
}

void module_of_200_wires(benchmark::State& state) {
  draw(state, module_with(200));
}
BENCHMARK(module_of_200_wires)->Unit(benchmark::kMillisecond);

void random_200_wires(benchmark::State& state) {
  draw(state, random_graft(5, 200));
}
BENCHMARK(random_200_wires)->Unit(benchmark::kMillisecond);

void random_2000_wires(benchmark::State& state) {
  draw(state, random_graft(5, 2000, 3));
}
BENCHMARK(random_2000_wires)->Unit(benchmark::kMillisecond);

// The same module cut into sheets of A4.
void module_of_200_wires_on_paper(benchmark::State& state) {
  const Graft graft = module_with(200);
  std::size_t sheets = 0;
  std::size_t crossings = 0;
  for (auto _ : state) {
    const PaperDiagram diagram = draw_diagram_on_paper(graft, {}, {});
    sheets = diagram.sheets.size();
    crossings = 0;
    for (const PaperSheet& sheet : diagram.sheets) crossings += sheet.crossings;
  }
  state.counters["sheets"] = static_cast<double>(sheets);
  state.counters["crossings"] = static_cast<double>(crossings);
}
BENCHMARK(module_of_200_wires_on_paper)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
