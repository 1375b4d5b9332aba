// A battery, a fuse, a module with one output, and a valve between them: the smallest loom that has a design.
#pragma once

#include "loom/graft.h"

namespace loomgraft {

inline Device device(const std::string& id, const std::string& kind) {
  Device item;
  item.id = id;
  item.name = id;
  item.kind = kind;
  return item;
}

inline Wire wire(const std::string& id, const WireEnd& from, const WireEnd& to, double metres) {
  Wire item;
  item.id = id;
  item.signal = id;
  item.from = from;
  item.to = to;
  item.length = Metres{metres};
  return item;
}

inline PlanStep adding(const Wire& added) {
  PlanStep step;
  step.action = PlanAction::add;
  step.added = added;
  return step;
}

inline Pin module_pin(const std::string& cavity, const std::string& signal, PinClass pin_class) {
  Pin pin;
  pin.at = {"box.C1", cavity};
  pin.signal = signal;
  pin.pin_class = pin_class;
  return pin;
}

struct SmallLoom {
  double valve_ohm = 12.0;
  double feed_m = 3.0;
  double fuse_a = 10.0;
};

// Wires: w_f (battery to fuse), feed (fuse to valve), drive (valve to the driver in C1 2); earth and feed of
// the module as found.
inline Graft small_loom(const SmallLoom& sizes = {}) {
  Graft graft;
  graft.title = "A valve for the tipper";
  Connector plug;
  plug.id = "box.C1";
  plug.name = "C1";
  graft.connectors = {plug};
  Module module;
  module.id = "box";
  module.name = "box";
  module.role = ModuleRole::found;
  module.connectors = {plug.id};
  module.pins = {module_pin("1", "earth", PinClass::power_earth),
                 module_pin("2", "valve", PinClass::low_side_driver),
                 module_pin("3", "feed", PinClass::supply_30)};
  graft.modules = {module};
  graft.devices = {device("battery", "battery"), device("G1", "earth"), device("F1", "fuse"),
                   device("Y1", "valve")};
  graft.devices[2].rating = Amperes{sizes.fuse_a};
  graft.devices[3].resistance = Ohms{sizes.valve_ohm};
  graft.devices[3].pull_in = Volts{6.0};
  graft.wires = {wire("w_minus", {"battery", "-"}, {"G1", "1"}, 0.5),
                 wire("w_earth", {"box.C1", "1"}, {"G1", "1"}, 1.0),
                 wire("w_feed", {"battery", "+"}, {"box.C1", "3"}, 1.0)};
  graft.wires[0].area = square_millimetres(25);
  graft.wires[1].area = square_millimetres(2.5);
  graft.wires[2].area = square_millimetres(2.5);
  graft.plan = {adding(wire("w_f", {"battery", "+"}, {"F1", "1"}, 0.15)),
                adding(wire("feed", {"F1", "2"}, {"Y1", "1"}, sizes.feed_m)),
                adding(wire("drive", {"Y1", "2"}, {"box.C1", "2"}, 2.0))};
  return graft;
}

}  // namespace loomgraft
