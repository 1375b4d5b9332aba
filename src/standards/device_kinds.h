// Kinds of devices that a wire can end at, and models of them (data/device_kinds.csv,
// data/devices/*.csv).
//
// Model   a kind says how the device is built electrically, its terminals and its drawing symbol; figures of
//         a kind (rows of the model "default") stand in where neither the job nor a model states them
// Gives   figures by quantity: resistance_ohm, inductance_h, current_a, pull_in_v, release_v, forward_v,
//         rating_a, contact_ohm, open_ohm, cold_ohm, ohm_at_20_c, ohm_at_80_c, output_low_v, output_high_v,
//         ... at 20 C where nothing else is said. self_heat_c is what a coil adds to its surroundings when it
//         stays on, hottest_c its own temperature in the hottest surroundings. required_figures() lists what
//         every kind of a build has; models state only what their sheet does.
// Fails   nullptr for unknown names
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft {

// How a kind conducts between its terminals.
enum class DeviceBuild {
  unknown,
  battery,        // + and -
  earth,          // one terminal, joined to the body
  splice,         // all terminals joined
  fuse,           // two terminals
  resistor,       // two terminals: heaters, dropping resistors
  thermistor,     // two terminals, resistance falls as it warms
  coil,           // two terminals: valves, injectors, solenoids, horns
  motor,          // two terminals
  lamp,           // two terminals, filament
  led,            // anode and cathode, with its series resistor
  diode,          // anode and cathode
  contacts,       // two terminals: switches and buttons
  relay,          // 85, 86, 30, 87, 87a
  pair,           // two terminals, a coil that makes a signal: variable-reluctance, knock
  potentiometer,  // supply, earth, wiper
  sensor,         // supply, earth, signal: Hall and other powered sensors
  key_switch,     // 30, 15, 50: the ignition switch
  alternator,     // B+ and the body
  controller      // supply and earth of some other module that is not drawn pin by pin
};

// Parts that many circuits share, and that make none of their own: joints, fuses, earths and sources.
bool is_shared(DeviceBuild build);

struct DeviceKind {
  std::string name;  // "valve", "switch_to_earth", "relay"
  std::string text;  // "solenoid valve"
  DeviceBuild build = DeviceBuild::unknown;
  std::vector<std::string> terminals;
  std::string symbol;                     // of the diagram, after IEC 60617: "coil", "contact_open", "lamp"
  std::string reference;                  // letter of IEC 81346-2: "K", "S", "F", ...
  std::map<std::string, Figure> figures;  // default values on a 12 V vehicle
  std::map<std::string, Figure> figures_24;  // and on a 24 V one: every quantity again

  const std::map<std::string, Figure>& defaults(SystemVolts system) const {
    return system == SystemVolts::nominal_24 ? figures_24 : figures;
  }
};

struct DeviceModel {
  std::string name;
  std::string kind;
  std::string text;
  std::map<std::string, Figure> figures;
};

// The quantities that a network or a design needs of a build. None for batteries and joints: their default
// values are the vehicle's (standards/network_figures.h).
std::vector<std::string_view> required_figures(DeviceBuild build);

std::span<const DeviceKind> device_kinds();
const DeviceKind* device_kind(std::string_view name);
std::span<const DeviceModel> device_models();
const DeviceModel* device_model(std::string_view name);

}  // namespace loomgraft
