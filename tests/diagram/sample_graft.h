// Grafts to draw: a small invented one with every shape in it, and random ones.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

inline const std::string nasty_name = "<img src=x onerror=\"alert('1')\"> & ]]>\x01\xFF";

inline Connector plug(const std::string& id, const std::string& name, const std::string& mates = "") {
  Connector connector;
  connector.id = id;
  connector.name = name;
  connector.mates = mates;
  connector.view = View::wire_entry;
  return connector;
}

inline Device part(const std::string& id, const std::string& kind, const std::string& name,
                   const std::string& place = "") {
  Device device;
  device.id = id;
  device.kind = kind;
  device.name = name;
  device.place = place;
  return device;
}

inline Wire wire(const std::string& id, WireEnd from, WireEnd to, const std::string& base,
                 const std::string& tracer = "", std::vector<std::string> along = {}) {
  Wire made;
  made.id = id;
  made.signal = "signal of " + id;
  made.from = std::move(from);
  made.to = std::move(to);
  made.colour = {base, tracer, ""};
  made.area = square_millimetres(0.75);
  made.length = millimetres(2400);
  made.along = std::move(along);
  return made;
}

// A hoist controller at the back of a cab, its devices in the cab and outside.
inline Graft hoist_graft() {
  Graft g;
  g.title = "A hoist on a cart";
  g.vehicle.name = "Cart 7";
  g.connectors = {plug("ctl.A", "A"),     plug("ctl.B", "B"), plug("gate.P", "P"),
                  plug("x1", "X1", "x2"), plug("x2", "X2"),   plug("odd", "X9")};
  Module controller;
  controller.id = "ctl";
  controller.name = "Hoist controller";
  controller.role = ModuleRole::found;
  controller.connectors = {"ctl.A", "ctl.B"};
  for (const char* cavity : {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10"}) {
    Pin pin;
    pin.at = {"ctl.A", cavity};
    pin.signal = "hoist function " + std::string(cavity);
    pin.far_end = "something in the cab";
    pin.colour = {"GY", "VT", ""};
    controller.pins.push_back(pin);
  }
  Module gate;
  gate.id = "gate";
  gate.name = "Gate controller";
  gate.connectors = {"gate.P"};
  g.modules = {controller, gate};
  g.places = {{"cab", "cab", {}, false, false, {}, {}, {}}, {"bed", "load bed", {}, true, false, {}, {}, {}}};
  g.paths = {{"floor", "cab", "bed", millimetres(800), {}, {}, {}, millimetres(22), ""}};
  g.devices = {
      part("bat", "battery", "battery", "cab"),          part("F1", "fuse", "hoist fuse", "cab"),
      part("K1", "relay", "hoist relay", "cab"),         part("G1", "earth", "earth in the cab", "cab"),
      part("G2", "earth", "earth on the bed", "bed"),    part("J1", "splice", "joint of the feeds", "cab"),
      part("S1", "switch_to_earth", "up button", "cab"), part("P1", "potentiometer", "speed lever", "cab"),
      part("H1", "led_lamp", "ready lamp", "cab"),       part("V1", "diode", "blocking diode", "cab"),
      part("M1", "motor", "hoist motor", "bed"),         part("B1", "thermistor", "motor temperature", "bed"),
      part("B2", "sensor_hall", "drum sensor", "bed"),   part("Y1", "valve", "brake valve", "bed"),
      part("E1", "open_end", "old horn wire", "bed"),    part("Z1", "kind of nothing", "odd box", "bed")};
  g.devices[1].rating = Amperes{20.0};
  g.devices[13].resistance = Ohms{7.5};
  g.devices[14].forbidden = true;
  const std::vector<std::string> floor{"floor"};
  g.wires = {wire("w1", {"bat", "+"}, {"F1", "1"}, "RD"),
             wire("w2", {"F1", "2"}, {"J1", "1"}, "RD", "YE"),
             wire("w3", {"J1", "1"}, {"K1", "30"}, "RD", "YE"),
             wire("w4", {"J1", "1"}, {"K1", "86"}, "RD", "YE"),
             wire("w5", {"K1", "85"}, {"ctl.A", "1"}, "BN", "GN"),
             wire("w6", {"K1", "87"}, {"x1", "1"}, "RD", "BU"),
             wire("w7", {"x2", "1"}, {"M1", "1"}, "RD", "BU", floor),
             wire("w8", {"M1", "2"}, {"G2", "1"}, "BN"),
             wire("w9", {"bat", "-"}, {"G1", "1"}, "BK"),
             wire("w10", {"ctl.A", "2"}, {"S1", "1"}, "GY", "WH"),
             wire("w11", {"S1", "2"}, {"G1", "1"}, "BN"),
             wire("w12", {"ctl.A", "3"}, {"P1", "1"}, "GN"),
             wire("w13", {"ctl.A", "4"}, {"P1", "3"}, "WH"),
             wire("w14", {"ctl.A", "5"}, {"P1", "2"}, "BN", "WH"),
             wire("w15", {"ctl.B", "1"}, {"V1", "A"}, "VT"),
             wire("w16", {"V1", "K"}, {"H1", "1"}, "VT", "RD"),
             wire("w17", {"H1", "2"}, {"G1", "1"}, "BN"),
             wire("w18", {"ctl.B", "2"}, {"x1", "2"}, "BU"),
             wire("w19", {"x2", "2"}, {"B1", "1"}, "BU", "", floor),
             wire("w20", {"B1", "2"}, {"ctl.B", "3"}, "BN", "BU", floor),
             wire("w21", {"ctl.B", "4"}, {"B2", "1"}, "OG", "", floor),
             wire("w22", {"ctl.B", "5"}, {"B2", "2"}, "GNYE", "", floor),
             wire("w23", {"ctl.B", "6"}, {"B2", "3"}, "PK", "BK", floor),
             wire("w24", {"ctl.B", "7"}, {"Y1", "1"}, "TQ", "", floor),
             wire("w25", {"Y1", "2"}, {"J1", "1"}, "RD", "YE", floor),
             wire("w26", {"ctl.A", "6"}, {"gate.P", "3"}, "SR"),
             wire("w27", {"ctl.A", "7"}, {}, "GD"),
             wire("w28", {"ctl.B", "8"}, {"E1", "1"}, "", "", floor),
             wire("w29", {"ctl.B", "9"}, {"Z1", "b"}, "YE", "BK", floor),
             wire("w30", {"Z1", "a"}, {"odd", "4"}, "WH", "BK")};
  g.wires[27].colour.raw = "Y/L?";
  g.wires[28].length.reset();
  g.plan = {{PlanAction::retire, "w28", {}, {}, std::nullopt, ""},
            {PlanAction::move, "w10", {"ctl.A", "2"}, {"ctl.A", "8"}, std::nullopt, ""},
            {PlanAction::move, "w13", {"ctl.A", "4"}, {"ctl.A", "2"}, std::nullopt, ""},
            {PlanAction::add, "", {}, {}, wire("n1", {"ctl.A", "4"}, {"Y1", "1"}, "YE", "BU", floor), ""}};
  return g;
}

// A loom too large for a sheet: `parts` relays on one joint, each with a lamp, a wire to the controller and
// an earth.
inline Graft many_relays(std::size_t parts) {
  Graft g;
  g.title = "relays";
  Module module;
  module.id = "ecu";
  module.name = "controller";
  module.role = ModuleRole::found;
  module.connectors = {"ecu.C"};
  g.connectors = {plug("ecu.C", "C")};
  g.modules = {module};
  g.devices = {part("bat", "battery", "battery"), part("J", "splice", "joint"), part("G", "earth", "earth")};
  g.wires = {wire("feed", {"bat", "+"}, {"J", "1"}, "RD"), wire("ground", {"bat", "-"}, {"G", "1"}, "BK")};
  for (std::size_t i = 1; i <= parts; ++i) {
    const std::string n = std::to_string(i);
    g.devices.push_back(part("K" + n, "relay", "relay " + n));
    g.devices.push_back(part("E" + n, "lamp", "lamp " + n));
    g.wires.push_back(wire("a" + n, {"J", "1"}, {"K" + n, "30"}, "RD"));
    g.wires.push_back(wire("b" + n, {"J", "1"}, {"K" + n, "86"}, "RD", "YE"));
    g.wires.push_back(wire("c" + n, {"K" + n, "85"}, {"ecu.C", n}, "BN", "YE"));
    g.wires.push_back(wire("d" + n, {"K" + n, "87"}, {"E" + n, "1"}, "YE"));
    g.wires.push_back(wire("e" + n, {"E" + n, "2"}, {"G", "1"}, "BN"));
  }
  return g;
}

// Numbers that are the same everywhere.
struct Dice {
  std::uint64_t state = 1;
  std::size_t below(std::size_t n) {
    state = state * 6364136223846793005U + 1442695040888963407U;
    return static_cast<std::size_t>((state >> 33U) % n);
  }
};

// `wires` between two modules and devices of all kinds, some through a grommet, some ends at nothing.
inline Graft random_graft(std::uint64_t seed, std::size_t wires, std::size_t modules = 2) {
  Dice dice{seed * 7919U + 1U};
  Graft g;
  g.title = "random";
  const std::vector<std::string> kinds{
      "battery",       "fuse",     "relay",           "earth",        "splice",      "valve",
      "lamp",          "motor",    "switch_to_earth", "thermistor",   "sensor_hall", "diode",
      "potentiometer", "led_lamp", "key_switch",      "no such kind", "open_end"};
  const std::vector<std::string> colours{"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GNYE", "?"};
  g.places = {{"in", "inside", {}, false, false, {}, {}, {}},
              {"out", "outside", {}, false, false, {}, {}, {}}};
  g.paths = {{"wall", "in", "out", {}, {}, {}, {}, millimetres(20), ""}};
  for (std::size_t m = 0; m < modules; ++m) {
    Module module;
    module.id = "m" + std::to_string(m);
    module.name = "module " + std::to_string(m);
    module.role = m == 0 ? ModuleRole::found : ModuleRole::other;
    module.connectors = {module.id + ".C1", module.id + ".C2"};
    for (const std::string& id : module.connectors) g.connectors.push_back(plug(id, id));
    g.modules.push_back(module);
  }
  g.connectors.push_back(plug("x1", "X1", "x2"));
  g.connectors.push_back(plug("x2", "X2", "x1"));
  const std::size_t devices = wires / 2 + 1;
  for (std::size_t d = 0; d < devices; ++d) {
    g.devices.push_back(part("d" + std::to_string(d), kinds[dice.below(kinds.size())],
                             "device number " + std::to_string(d), dice.below(3) == 0 ? "out" : ""));
  }
  const auto end = [&]() -> WireEnd {
    const std::size_t what = dice.below(20);
    if (what < 9 && modules > 0)
      return {"m" + std::to_string(dice.below(modules)) + ".C" + std::to_string(1 + dice.below(2)),
              std::to_string(1 + dice.below(2 * wires))};
    if (what < 10) return {dice.below(2) == 0 ? "x1" : "x2", std::to_string(1 + dice.below(9))};
    if (what == 10) return {};
    if (what == 11) return {"nowhere" + std::to_string(dice.below(3)), "1"};
    const std::size_t d = dice.below(devices);
    constexpr const char* terminals[] = {"1", "2", "3", "85", "30", "87", "86", "A", "K"};
    return {"d" + std::to_string(d), terminals[dice.below(9)]};
  };
  for (std::size_t w = 0; w < wires; ++w) {
    const WireEnd from = end();
    const WireEnd to = end();
    g.wires.push_back(wire("w" + std::to_string(w), from, to, colours[dice.below(colours.size())],
                           dice.below(2) == 0 ? colours[dice.below(8)] : ""));
    if (dice.below(4) == 0) g.wires.back().along = {"wall"};
    if (dice.below(5) == 0) g.wires.back().area.reset();
  }
  for (std::size_t w = 0; w < wires / 8; ++w) {
    const Wire& old = g.wires[dice.below(wires)];
    const std::size_t what = dice.below(3);
    const std::string id = "n" + std::to_string(w);
    if (what == 0) g.plan.push_back({PlanAction::retire, old.id, {}, {}, std::nullopt, ""});
    if (what == 1) g.plan.push_back({PlanAction::move, old.id, old.from, end(), std::nullopt, ""});
    if (what == 2) g.plan.push_back({PlanAction::add, "", {}, {}, wire(id, end(), end(), "YE"), ""});
  }
  return g;
}

}  // namespace loomgraft
