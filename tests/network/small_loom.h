// Invented looms for tests: a few lines make a document.
#pragma once

#include <string>

#include "loom/graft.h"

namespace loomgraft::samples {

inline Device device(std::string id, std::string kind) {
  Device made;
  made.id = std::move(id);
  made.kind = std::move(kind);
  return made;
}

// Ends as "device:terminal" or "connector:cavity"; "" is an end nobody followed.
inline WireEnd end_of(const std::string& text) {
  const std::size_t colon = text.find(':');
  if (colon == std::string::npos) return {text, ""};
  return {text.substr(0, colon), text.substr(colon + 1)};
}

inline Wire wire(std::string id, const std::string& from, const std::string& to, double mm2 = 1.0,
                 double metres = 2.0) {
  Wire made;
  made.id = std::move(id);
  made.from = end_of(from);
  made.to = end_of(to);
  made.area = square_millimetres(mm2);
  made.length = Metres{metres};
  return made;
}

inline Connector connector(std::string id) {
  Connector made;
  made.id = id;
  made.name = std::move(id);
  return made;
}

inline Pin pin(const std::string& at, PinClass pin_class) {
  Pin made;
  made.at = {end_of(at).at, end_of(at).cavity};
  made.pin_class = pin_class;
  return made;
}

// Battery, earth point, a fuse of 10 A and a heater of 6 ohm at its far side.
inline Graft heater_loom() {
  Graft graft;
  graft.devices = {device("BAT", "battery"), device("E1", "earth"), device("F1", "fuse"),
                   device("H1", "heater")};
  graft.devices[2].rating = Amperes{10.0};
  graft.devices[3].resistance = Ohms{6.0};
  graft.wires = {wire("w1", "BAT:+", "F1:1"), wire("w2", "F1:2", "H1:1"), wire("w3", "H1:2", "E1:1"),
                 wire("w4", "BAT:-", "E1:1", 10.0, 0.5)};
  return graft;
}

// A module with a battery feed, a switched feed, an earth, a low-side driver, a 5 V reference and an input to
// a switch, in one plug.
inline Graft module_loom() {
  Graft graft;
  graft.connectors = {connector("C1")};
  Module module;
  module.id = "ECU";
  module.name = "ECU";
  module.role = ModuleRole::found;
  module.connectors = {"C1"};
  module.pins = {pin("C1:1", PinClass::supply_30),    pin("C1:2", PinClass::supply_15),
                 pin("C1:3", PinClass::power_earth),  pin("C1:4", PinClass::low_side_driver),
                 pin("C1:5", PinClass::reference_5v), pin("C1:6", PinClass::switch_to_earth_input),
                 pin("C1:7", PinClass::sensor_earth), pin("C1:8", PinClass::voltage_input)};
  graft.modules = {module};
  graft.devices = {device("BAT", "battery"), device("E1", "earth"),         device("F1", "fuse"),
                   device("F2", "fuse"),     device("KEY", "key_switch"),   device("V1", "valve"),
                   device("S1", "switch"),   device("P1", "potentiometer"), device("F3", "fuse")};
  for (const std::size_t fuse : {2u, 3u, 8u}) graft.devices[fuse].rating = Amperes{10.0};
  graft.devices[5].resistance = Ohms{15.0};
  graft.wires = {wire("w1", "BAT:+", "F1:1", 2.5),
                 wire("w2", "F1:2", "C1:1"),
                 wire("w3", "BAT:+", "KEY:30", 2.5),
                 wire("w4", "KEY:15", "F2:1", 2.5),
                 wire("w5", "F2:2", "C1:2"),
                 wire("w6", "C1:3", "E1:1"),
                 wire("w7", "KEY:15", "F3:1", 2.5),
                 wire("w8", "F3:2", "V1:1"),
                 wire("w9", "V1:2", "C1:4", 0.5),
                 wire("w10", "C1:5", "P1:1", 0.5),
                 wire("w11", "C1:6", "S1:1", 0.5),
                 wire("w12", "S1:2", "E1:1", 0.5),
                 wire("w13", "C1:7", "P1:2", 0.5),
                 wire("w14", "C1:8", "P1:3", 0.5),
                 wire("w15", "BAT:-", "E1:1", 16.0, 0.5)};
  return graft;
}

// A relay whose coil a switch earths; its make contact feeds a lamp.
inline Graft relay_loom() {
  Graft graft;
  graft.devices = {device("BAT", "battery"), device("E1", "earth"),  device("F1", "fuse"),
                   device("K1", "relay"),    device("S1", "switch"), device("L1", "lamp"),
                   device("L2", "lamp")};
  graft.devices[2].rating = Amperes{15.0};
  graft.devices[3].resistance = Ohms{85.0};
  graft.wires = {wire("w1", "BAT:+", "F1:1", 2.5), wire("w2", "F1:2", "K1:86"),
                 wire("w3", "F1:2", "K1:30"),      wire("w4", "K1:85", "S1:1"),
                 wire("w5", "S1:2", "E1:1"),       wire("w6", "K1:87", "L1:1"),
                 wire("w7", "L1:2", "E1:1"),       wire("w8", "K1:87a", "L2:1"),
                 wire("w9", "L2:2", "E1:1"),       wire("w10", "BAT:-", "E1:1", 16.0, 0.5)};
  return graft;
}

}  // namespace loomgraft::samples
