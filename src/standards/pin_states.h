// What each pin class does electrically: the states it can be in and the limits it has, at the module's pin
// and at the far end of the wire that was made for such a pin.
//
// Model   a state is a Thevenin source towards earth: open-circuit volts behind a resistance, perhaps with a
//         current limit, perhaps one-way. Figures are what is typical of the class, from
//         data/pin_classes.csv, data/pin_limits.csv and data/contention_rules.csv; a cell "a|b" holds the 12
//         V and the 24 V figure.
// Gives   figures for 12 V and 24 V systems, with the supply at its highest charging voltage
// Fails   never on input; a malformed data file is a bug (std::logic_error)
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "standards/pin_class.h"
#include "units/quantity.h"

namespace loomgraft {

enum class PinSide { loom, module };
enum class SystemVolts { nominal_12, nominal_24 };
enum class KeyState { any, on, off };
enum class OneWay { no, into };  // current may flow only into this side, as through a diode

// Where a state's source is connected: decides what is left of it with the plug off or the battery
// disconnected.
enum class LeadsTo { open, earth, battery, ignition, sensor_earth, reference, module, bus };

struct PinState {
  std::string name;
  KeyState key = KeyState::any;
  LeadsTo leads_to = LeadsTo::open;
  bool from_supply = false;  // `volts` is the vehicle's supply
  Volts volts;
  Ohms lowest;  // contention is judged with this one
  Ohms highest;
  Amperes limit{std::numeric_limits<double>::infinity()};
  OneWay one_way = OneWay::no;
  Henries inductance;
  bool operator==(const PinState&) const = default;
};

enum class PinKind {
  none,
  input,
  output,
  feed,
  feed_in,
  feed_out,
  earth,
  load,
  sensor,
  switch_contact,
  bus,
  screen
};

struct PinRatings {
  PinKind kind = PinKind::none;
  std::string text;                // "low-side driver", "fused battery feed"
  std::optional<Amperes> allowed;  // continuous, either way
  std::optional<Volts> lowest;     // withstood
  std::optional<Volts> highest;
  std::optional<Volts> clamp_low;  // a diode or clamp of the pin conducts beyond these
  std::optional<Volts> clamp_high;
  std::optional<Joules> clamp_energy;
  std::optional<Amperes> works_at;  // a load stays worked above this current
  std::optional<Volts> disturbed_by;
  std::optional<Volts> logic_low;   // read as low at or below
  std::optional<Volts> logic_high;  // read as high at or above
  std::optional<Amperes> fuse;
  SquareMetres wire;  // the smallest usual size at such a pin
  Amperes wire_current;
};

struct PinModel {
  PinRatings ratings;
  std::vector<PinState> states;
};

const PinModel& pin_model(PinClass pin_class, PinSide side, SystemVolts system);

// A named figure of data/contention_rules.csv in SI units. An unknown name is a bug: std::logic_error.
double contention_rule(std::string_view name, SystemVolts system);

// 24 V from 18 V nominal up, else 12 V.
SystemVolts system_of(Volts nominal);

}  // namespace loomgraft
