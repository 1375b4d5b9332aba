// Looms drawn at random, of any size, for tests and benchmarks: circuits behind fuses, joined by splices,
// plugs and a module.
#pragma once

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "loom/graft.h"
#include "tests/network/small_loom.h"

namespace loomgraft::samples {

struct RandomLoom {
  std::mt19937_64 random;
  Graft graft;
  Module module;
  Condition condition;
  int group = 0;  // circuits of one group share a fuse and an earth splice
  std::string feed, switched, earth;

  double draw(double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  }
  bool one_in(unsigned n) { return random() % n == 0; }

  std::string add_device(const std::string& kind) {
    graft.devices.push_back(device("d" + std::to_string(graft.devices.size()), kind));
    return graft.devices.back().id;
  }
  Device& last() { return graft.devices.back(); }

  void join(const std::string& from, const std::string& to) {
    constexpr double sizes[] = {0.35, 0.5, 0.75, 1.0, 1.5, 2.5};
    graft.wires.push_back(
        wire("w" + std::to_string(graft.wires.size()), from, to, sizes[random() % 6], draw(0.2, 6.0)));
    if (one_in(7)) graft.wires.back().length.reset();
    if (one_in(9)) graft.wires.back().area.reset();
  }
  // As thick and short as a loom of this size needs, or its relays would never see their volts.
  void join_main(const std::string& from, const std::string& to, int circuits) {
    graft.wires.push_back(
        wire("w" + std::to_string(graft.wires.size()), from, to, std::max(16.0, 0.5 * circuits), 0.3));
  }
  std::string add_pin(PinClass pin_class) {
    const std::string at = "C1:" + std::to_string(module.pins.size() + 1);
    module.pins.push_back(pin(at, pin_class));
    return at;
  }

  void open_group() {
    ++group;
    const std::string fuse = add_device("fuse");
    last().rating = Amperes{15.0};
    const std::string splice = add_device("splice");
    join(one_in(2) ? "BAT:+" : "KEY:15", fuse + ":1");
    join(fuse + ":2", splice + ":");
    feed = splice + ":";
    earth = add_device("splice") + ":";
    join(earth, "E" + std::to_string(group % 3 + 1) + ":");
  }

  void add_switched_load() {
    constexpr const char* loads[] = {"lamp", "led_lamp", "heater", "motor", "horn"};
    const std::string contacts = add_device(one_in(3) ? "switch_normally_closed" : "switch");
    if (one_in(2)) condition.worked.push_back(contacts);
    const std::string load = add_device(loads[random() % 5]);
    join(feed, contacts + ":1");
    join(contacts + ":2", load + ":1");
    join(load + ":2", earth);
    if (!one_in(4)) return;
    const std::string diode = add_device("diode");
    join(load + ":2", diode + ":A");
    join(diode + ":K", load + ":1");
  }

  void add_relay_load() {
    const std::string relay = add_device("relay");
    const std::string contacts = add_device("switch");
    const std::string load = add_device("motor");
    last().current = Amperes{draw(0.5, 6.0)};
    if (!one_in(3)) condition.worked.push_back(contacts);
    join(feed, relay + ":86");
    join(feed, relay + ":30");
    join(relay + ":85", contacts + ":1");
    join(contacts + ":2", earth);
    join(relay + ":87", load + ":1");
    join(load + ":2", earth);
  }

  void add_module_circuit() {
    const auto turn = random() % 4;
    if (turn == 0) {
      const std::string valve = add_device("valve");
      const std::string at = add_pin(PinClass::low_side_driver);
      if (one_in(2)) condition.driven.push_back(module.pins.back().at);
      join(feed, valve + ":1");
      join(valve + ":2", at);
    } else if (turn == 1) {
      const std::string lamp = add_device("lamp");
      const std::string at = add_pin(PinClass::high_side_driver);
      if (one_in(2)) condition.driven.push_back(module.pins.back().at);
      join(at, lamp + ":1");
      join(lamp + ":2", earth);
    } else if (turn == 2) {
      const std::string contacts = add_device("switch_to_earth");
      if (one_in(2)) condition.worked.push_back(contacts);
      join(add_pin(PinClass::switch_to_earth_input), contacts + ":1");
      join(contacts + ":2", earth);
    } else {
      const std::string sensor = add_device(one_in(2) ? "potentiometer" : "pressure_sensor");
      join(add_pin(PinClass::reference_5v), sensor + ":1");
      join(sensor + ":2", add_pin(PinClass::sensor_earth));
      join(sensor + ":3", add_pin(PinClass::voltage_input));
    }
  }
};

struct DrawnLoom {
  Graft graft;
  Condition condition;
};

inline DrawnLoom random_loom(std::uint64_t seed, int circuits, double volts) {
  RandomLoom loom;
  loom.random.seed(seed);
  loom.graft.vehicle.supply = Volts{volts};
  for (const char* id : {"E1", "E2", "E3"}) loom.graft.devices.push_back(device(id, "earth"));
  loom.graft.devices.push_back(device("BAT", "battery"));
  if (circuits > 100) loom.last().resistance = Ohms{0.5 / circuits};
  loom.graft.devices.push_back(device("KEY", "key_switch"));
  loom.module.id = loom.module.name = "M";
  loom.module.role = ModuleRole::found;
  loom.module.connectors = {"C1"};
  loom.graft.connectors = {connector("C1")};
  loom.join_main("BAT:-", "E1:", circuits);
  loom.join_main("BAT:+", "KEY:30", circuits);
  loom.join_main("BAT:+", loom.add_pin(PinClass::supply_30), circuits);
  loom.join_main("KEY:15", loom.add_pin(PinClass::supply_15), circuits);
  loom.join_main(loom.add_pin(PinClass::power_earth), "E2:", circuits);
  for (int k = 0; k < circuits; ++k) {
    if (k % 6 == 0) loom.open_group();
    const auto turn = loom.random() % 4;
    if (turn == 0) loom.add_relay_load();
    if (turn == 1) loom.add_switched_load();
    if (turn > 1) loom.add_module_circuit();
  }
  loom.graft.modules = {loom.module};
  constexpr KeyPosition keys[] = {KeyPosition::on, KeyPosition::on, KeyPosition::on, KeyPosition::crank,
                                  KeyPosition::off};
  loom.condition.key = keys[loom.random() % 5];
  return {std::move(loom.graft), std::move(loom.condition)};
}

}  // namespace loomgraft::samples
