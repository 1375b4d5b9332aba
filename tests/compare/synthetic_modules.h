// Invented modules by the thousand, the same on every machine: for benchmarks and for properties.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::synthetic {

// SplitMix64 (Steele, Lea, Flood 2014): small, fixed, the same everywhere.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed) {}
  std::uint64_t next() {
    std::uint64_t z = state_ += 0x9e3779b97f4a7c15ull;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
    return z ^ (z >> 31);
  }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(next() % n); }
  bool one_in(std::size_t n) { return below(n) == 0; }

 private:
  std::uint64_t state_;
};

struct Circuit {
  const char* name;
  PinClass pin_class;
  int count;  // how many of a kind a module may have: "Injector 3"
};

inline constexpr std::array<Circuit, 28> circuits{{
    {"Battery feed", PinClass::supply_30, 2},
    {"Ignition switched supply", PinClass::supply_15, 2},
    {"Power ground", PinClass::power_earth, 6},
    {"Sensor ground", PinClass::sensor_earth, 4},
    {"5 V reference", PinClass::reference_5v, 3},
    {"Injector", PinClass::injector, 8},
    {"Ignition coil", PinClass::ignition_trigger, 8},
    {"Coolant temperature sensor", PinClass::thermistor_input, 1},
    {"Intake air temperature sensor", PinClass::thermistor_input, 2},
    {"Throttle position sensor", PinClass::voltage_input, 2},
    {"Manifold pressure sensor", PinClass::voltage_input, 1},
    {"Crankshaft position sensor +", PinClass::variable_reluctance, 1},
    {"Crankshaft position sensor -", PinClass::variable_reluctance, 1},
    {"Camshaft position sensor", PinClass::digital_sensor_input, 2},
    {"Vehicle speed sensor", PinClass::digital_sensor_input, 1},
    {"Knock sensor", PinClass::knock, 2},
    {"Oxygen sensor", PinClass::oxygen_sensor, 4},
    {"Fuel pump relay", PinClass::low_side_driver, 1},
    {"Cooling fan relay", PinClass::low_side_driver, 3},
    {"Purge valve", PinClass::low_side_driver, 2},
    {"Malfunction lamp", PinClass::low_side_driver, 1},
    {"Boost control valve", PinClass::high_side_driver, 2},
    {"Clutch switch", PinClass::switch_to_earth_input, 1},
    {"Brake switch", PinClass::switch_to_supply_input, 2},
    {"CAN high", PinClass::can_high, 2},
    {"CAN low", PinClass::can_low, 2},
    {"K-line", PinClass::serial_line, 1},
    {"Auxiliary input", PinClass::voltage_input, 12},
}};

inline void fill_pin(Pin& pin, Dice& dice) {
  const Circuit& circuit = circuits[dice.below(circuits.size())];
  pin.signal = circuit.name;
  if (circuit.count > 1)
    pin.signal += " " + std::to_string(1 + dice.below(static_cast<std::size_t>(circuit.count)));
  pin.pin_class = dice.one_in(12) ? PinClass::unknown : circuit.pin_class;
}

struct Made {
  Module module;
  std::vector<Connector> connectors;
};

// `size` cavities over plugs of 25; `kin` > 0 takes over that share in 100 of `like`'s circuits, cavity by
// cavity.
inline Made make_module(const std::string& id, std::size_t size, std::uint64_t seed,
                        const Module* like = nullptr, std::size_t kin = 0) {
  Dice dice(seed);
  Made made;
  made.module.id = id;
  made.module.name = id;
  made.module.tags.diagnostics = dice.one_in(3) ? "OBD-I" : "OBD-II";
  made.module.tags.transmission = dice.one_in(3) ? "automatic" : "manual";
  for (std::size_t i = 0; i < size; ++i) {
    const std::string plug = id + ".C" + std::to_string(1 + i / 25);
    if (i % 25 == 0) {
      Connector connector;
      connector.id = plug;
      connector.name = "C" + std::to_string(1 + i / 25);
      made.connectors.push_back(connector);
      made.module.connectors.push_back(plug);
    }
    Pin pin;
    pin.at = {plug, std::to_string(1 + i % 25)};
    if (like && i < like->pins.size() && dice.below(100) < kin) {
      pin.signal = like->pins[i].signal;
      pin.pin_class = like->pins[i].pin_class;
    } else if (!dice.one_in(8)) {
      fill_pin(pin, dice);
    } else {
      pin.pin_class = PinClass::no_connection;
    }
    if (dice.one_in(60)) pin.hardware = false;
    if (dice.one_in(60)) pin.populated = false;
    made.module.pins.push_back(pin);
  }
  return made;
}

inline Graft graft_of(const Made& found) {
  Graft graft;
  graft.vehicle.name = "synthetic";
  graft.connectors = found.connectors;
  graft.modules = {found.module};
  graft.modules[0].role = ModuleRole::found;
  return graft;
}

}  // namespace loomgraft::synthetic
