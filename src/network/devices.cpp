// Devices, by build. What a document does not state comes from the model's data sheet, else it is the default
// of the kind.
#include <algorithm>
#include <cmath>
#include <limits>

#include "network/build_internal.h"
#include "standards/fuses.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::network {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();
constexpr double absolute_zero = -273.15;  // C

// A device with its kind and the nodes of its terminals, by their index in the kind's list.
struct Mounted {
  const Device& device;
  const DeviceKind& kind;
};

NodeId terminal_node(NetworkBuild& build, const Mounted& item, std::size_t index) {
  const std::string terminal = terminal_of(item.device, item.kind, index);
  return outer_node(build, {item.device.id, terminal});
}

bool has_terminals(NetworkBuild& build, const Mounted& item, std::size_t count) {
  for (std::size_t k = 0; k < count; ++k) {
    if (!terminal_of(item.device, item.kind, k).empty()) continue;
    report(build, Severity::warning, "no-terminal",
           device_name(item.device) + " lacks terminal " +
               (k < item.kind.terminals.size() ? item.kind.terminals[k] : std::to_string(k + 1)) + ".",
           "Name its terminals; it is left out.");
    return false;
  }
  return true;
}

BranchName named(const Mounted& item, BranchKind kind, const std::string& part = {}) {
  return {kind, item.device.id, device_name(item.device) + (part.empty() ? "" : " " + part)};
}

double nominal_volts(const NetworkBuild& build) {
  return build.frame.graft.vehicle.supply.si;
}

// Resistance of a working consumer, from its ohms or its amperes, whichever is better known; from its ohms if
// both are equally known. A running motor draws less than its winding would.
double consumer_ohms(NetworkBuild& build, const Mounted& item) {
  const auto ohms = device_figure(item.device, "resistance_ohm", build.frame.system);
  const bool asleep = item.kind.build == DeviceBuild::controller && !key_on(build);
  const char* quantity = asleep ? "sleep_a" : "current_a";
  const auto amperes = device_figure(item.device, quantity, build.frame.system);
  const bool dead = build.condition.battery_off;
  const bool runs = item.kind.build == DeviceBuild::motor && !dead;
  const bool by_current = amperes && (!ohms || (runs && ohms->origin >= amperes->origin) ||
                                      (!dead && amperes->origin < ohms->origin));
  if (by_current) {
    // The nominal volts belong to the current, whatever they are now.
    const double current = device_pick(build, item.device, quantity, Sense::supply);
    return current > 0.0 ? nominal_volts(build) / current : 0.0;
  }
  return device_pick(build, item.device, "resistance_ohm", Sense::resistance);
}

void add_two_terminals(NetworkBuild& build, const Mounted& item, BranchKind kind, double ohms) {
  if (!has_terminals(build, item, 2)) return;
  const std::size_t branch = add_resistor(build, named(item, kind), terminal_node(build, item, 0),
                                          terminal_node(build, item, 1), ohms);
  if (kind != BranchKind::fuse && kind != BranchKind::contacts) return;
  const auto rating = device_figure(item.device, "rating_a", build.frame.system);
  if (rating) build.network.branches[branch].rating = Amperes{rating->figure.middle()};
}

double lamp_ohms(NetworkBuild& build, const Mounted& item) {
  // A meter measures a cold filament; a burning lamp is hot.
  if (build.condition.battery_off) return device_pick(build, item.device, "cold_ohm", Sense::resistance);
  return consumer_ohms(build, item);
}

double fuse_ohms(NetworkBuild& build, const Mounted& item) {
  const auto own = device_figure(item.device, "resistance_ohm", build.frame.system);
  const auto rating = device_figure(item.device, "rating_a", build.frame.system);
  const double clips = unlisted_pick(build, item.device, "contact_ohm", Sense::resistance);
  const bool stated = own && own->origin != FigureOrigin::default_value;
  if (!stated && rating && rating->origin != FigureOrigin::default_value) {
    const Amperes amperes{rating->figure.middle()};
    const bool is_link = item.kind.name == "fusible_link";
    if (amperes.si > 0.0)
      return cold_resistance(*family_of_fuse(item.device.model, is_link, amperes).family, amperes).si + clips;
  }
  if (!rating || rating->origin == FigureOrigin::default_value)
    device_pick(build, item.device, "rating_a", Sense::supply);  // for the list of what was assumed
  return device_pick(build, item.device, "resistance_ohm", Sense::resistance) + clips;
}

void add_contacts_of_switch(NetworkBuild& build, const Mounted& item) {
  const bool is_closed = closed_at_rest(build, item.device) != build.worked.contains(item.device.id);
  const double closed = unlisted_pick(build, item.device, "contact_ohm", Sense::resistance);
  const double open = unlisted_pick(build, item.device, "open_ohm", Sense::resistance);
  const std::size_t before = build.network.branches.size();
  add_two_terminals(build, item, BranchKind::contacts, is_closed ? closed : open);
  if (build.network.branches.size() > before)
    build.network.branches.back().turned = Ohms{is_closed ? open : closed};
}

void add_key_switch(NetworkBuild& build, const Mounted& item) {
  if (!has_terminals(build, item, 2)) return;
  const double closed = unlisted_pick(build, item.device, "contact_ohm", Sense::resistance);
  const double open = unlisted_pick(build, item.device, "open_ohm", Sense::resistance);
  const NodeId feed = terminal_node(build, item, 0);
  add_resistor(build, named(item, BranchKind::contacts, "30-15"), feed, terminal_node(build, item, 1),
               key_on(build) ? closed : open);
  if (terminal_of(item.device, item.kind, 2).empty()) return;
  add_resistor(build, named(item, BranchKind::contacts, "30-50"), feed, terminal_node(build, item, 2),
               build.condition.key == KeyPosition::crank ? closed : open);
}

// Ohms at the temperature of its surroundings: ln R is interpolated linearly over 1/T between the figures. A
// worked thermistor is warm: 80 °C.
double thermistor_ohms(NetworkBuild& build, const Mounted& item) {
  constexpr std::pair<double, const char*> rows[] = {
      {-20, "ohm_at_minus_20_c"}, {20, "ohm_at_20_c"}, {80, "ohm_at_80_c"}, {110, "ohm_at_110_c"}};
  std::vector<std::pair<double, double>> points;  // 1/T, ln R
  double scale = 1.0;
  for (const auto& [degrees, quantity] : rows) {
    const double ohms = unlisted_pick(build, item.device, quantity, Sense::resistance);
    if (!(ohms > 0.0)) continue;
    points.emplace_back(1.0 / (degrees - absolute_zero), std::log(ohms));
    if (degrees == 20 && item.device.resistance) scale = item.device.resistance->si / ohms;
  }
  if (points.size() < 2) return device_pick(build, item.device, "ohm_at_20_c", Sense::resistance) * scale;
  const double degrees = build.worked.contains(item.device.id) ? 80.0
                         : build.condition.ambient             ? build.condition.ambient->degrees
                                                               : 20.0;
  const double at = 1.0 / (degrees - absolute_zero);
  std::size_t k = 0;
  while (k + 2 < points.size() && points[k + 1].first > at) ++k;
  const auto& [x0, y0] = points[k];
  const auto& [x1, y1] = points[k + 1];
  const double ohms = scale * std::exp(y0 + (y1 - y0) * (at - x0) / (x1 - x0));
  assume(build, item.device.id, "temperature", print(Celsius{degrees}), "the condition does not state it");
  return ohms;
}

// Wiper in the middle, or at its high end where it is worked.
void add_potentiometer(NetworkBuild& build, const Mounted& item) {
  if (!has_terminals(build, item, 3)) return;
  const double track = device_pick(build, item.device, "resistance_ohm", Sense::resistance);
  const double supply = unlisted_pick(build, item.device, "supply_v", Sense::supply);
  const double top = unlisted_pick(build, item.device, "output_high_v", Sense::supply);
  const bool worked = build.worked.contains(item.device.id);
  const double part = worked && top > 0.0 && top < supply ? top / supply : 0.5;
  const NodeId wiper = add_node(build, device_name(item.device) + " track");
  add_resistor(build, named(item, BranchKind::sensor, "upper track"), terminal_node(build, item, 0), wiper,
               track * (1.0 - part));
  add_resistor(build, named(item, BranchKind::sensor, "lower track"), wiper, terminal_node(build, item, 1),
               track * part);
  const double protection = unlisted_pick(build, item.device, "wiper_ohm", Sense::resistance);
  add_resistor(build, named(item, BranchKind::sensor, "wiper"), wiper, terminal_node(build, item, 2),
               protection > 0.0 ? protection : track * 1e-3);
}

// Resistance of the first state of a class's far end that leads where a sensor's does.
double sensor_ohms(const NetworkBuild& build, PinClass pin_class) {
  const PinState& state = pin_model(pin_class, PinSide::loom, build.frame.system).states.front();
  return pick_between(state.lowest, state.highest, build.options.corner);
}

// The output of a proportional sensor is a divider between its feed and its earth: it follows the feed and is
// dead without it. That of a switching sensor is a transistor to its earth, which conducts when worked.
void add_sensor(NetworkBuild& build, const Mounted& item) {
  if (!has_terminals(build, item, 3)) return;
  const NodeId feed = terminal_node(build, item, 0);
  const NodeId earth = terminal_node(build, item, 1);
  const NodeId output = terminal_node(build, item, 2);
  const double supply = unlisted_pick(build, item.device, "supply_v", Sense::supply);
  const double draws = device_pick(build, item.device, "current_a", Sense::supply);
  if (supply > 0.0 && draws > 0.0)
    add_resistor(build, named(item, BranchKind::sensor), feed, earth, supply / draws);
  const bool worked = build.worked.contains(item.device.id);
  const double low = unlisted_pick(build, item.device, "output_low_v", Sense::supply);
  const double high = unlisted_pick(build, item.device, "output_high_v", Sense::supply);
  if (item.kind.name == "sensor_hall") {
    if (worked)
      add_diode(build, named(item, BranchKind::sensor, "output"), output, earth, low,
                sensor_ohms(build, PinClass::digital_sensor_input));
    return;
  }
  const double part = supply > 0.0 ? (worked ? high : low) / supply : 0.0;
  if (!(part > 0.0 && part < 1.0)) return;
  const double ohms = sensor_ohms(build, PinClass::voltage_input);
  add_resistor(build, named(item, BranchKind::sensor, "output to feed"), feed, output, ohms / part);
  add_resistor(build, named(item, BranchKind::sensor, "output to earth"), output, earth, ohms / (1.0 - part));
}

void add_diode_device(NetworkBuild& build, const Mounted& item) {
  if (!has_terminals(build, item, 2)) return;
  const double forward = device_pick(build, item.device, "forward_v", Sense::resistance);
  const double ohms = device_pick(build, item.device, "resistance_ohm", Sense::resistance);
  const bool lamp = item.kind.build == DeviceBuild::led;
  add_diode(build, named(item, lamp ? BranchKind::consumer : BranchKind::diode),
            terminal_node(build, item, 0), terminal_node(build, item, 1), forward, ohms > 0.0 ? ohms : 1e-3);
}

void add_earth_point(NetworkBuild& build, const Mounted& item) {
  const double stated = unlisted_pick(build, item.device, "contact_ohm", Sense::resistance);
  const double ohms = stated > 0.0 ? stated : network_pick(build, "earth_joint_ohm", Sense::resistance);
  add_resistor(build, named(item, BranchKind::joint), terminal_node(build, item, 0), earth_node, ohms);
}

// Two batteries in a 24 V vehicle share its volts; elsewhere each has them all.
void add_battery(NetworkBuild& build, const Mounted& item) {
  if (!has_terminals(build, item, 2)) return;
  const NodeId plus = terminal_node(build, item, 0);
  NodeId minus = terminal_node(build, item, 1);
  if (!build.frame.wired.contains({item.device.id, terminal_of(item.device, item.kind, 1)})) {
    assume(build, item.device.id, "earth", "joined to the body", "no wire leaves its negative terminal");
    add_resistor(build, named(item, BranchKind::joint, "earth"), minus, earth_node,
                 network_pick(build, "earth_joint_ohm", Sense::resistance));
  }
  if (build.condition.battery_off) return;
  const auto batteries = std::ranges::count_if(build.frame.graft.devices, [&](const Device& device) {
    return device.kind == "battery" && !build.frame.forbidden.has_device(device.id);
  });
  const bool shared = build.frame.system == SystemVolts::nominal_24 && batteries == 2;
  if (shared)
    assume(build, item.device.id, "volts", "half of the vehicle's", "two batteries of a 24 V vehicle");
  const double own = unlisted_pick(build, item.device, "resistance_ohm", Sense::resistance);
  const double ohms = own > 0.0 ? own : network_pick(build, "battery_ohm", Sense::resistance);
  add_source(build, named(item, BranchKind::supply), plus, minus, supply_volts(build) * (shared ? 0.5 : 1.0),
             ohms, unlimited);
}

void add_device(NetworkBuild& build, const Mounted& item) {
  switch (item.kind.build) {
    case DeviceBuild::battery:
      return add_battery(build, item);
    case DeviceBuild::earth:
      return add_earth_point(build, item);
    case DeviceBuild::fuse:
      return add_two_terminals(build, item, BranchKind::fuse, fuse_ohms(build, item));
    case DeviceBuild::coil:
      return add_two_terminals(build, item, BranchKind::consumer,
                               consumer_ohms(build, item) * coil_factor(build, item.device));
    case DeviceBuild::resistor:
    case DeviceBuild::motor:
    case DeviceBuild::controller:
      return add_two_terminals(build, item, BranchKind::consumer, consumer_ohms(build, item));
    case DeviceBuild::lamp:
      return add_two_terminals(build, item, BranchKind::consumer, lamp_ohms(build, item));
    case DeviceBuild::thermistor:
      return add_two_terminals(build, item, BranchKind::sensor, thermistor_ohms(build, item));
    case DeviceBuild::pair:
      return add_two_terminals(build, item, BranchKind::sensor,
                               device_pick(build, item.device, "resistance_ohm", Sense::resistance));
    case DeviceBuild::contacts:
      return add_contacts_of_switch(build, item);
    case DeviceBuild::led:
    case DeviceBuild::diode:
      return add_diode_device(build, item);
    case DeviceBuild::relay:
      return add_relay(build, item.device, item.kind);
    case DeviceBuild::potentiometer:
      return add_potentiometer(build, item);
    case DeviceBuild::sensor:
      return add_sensor(build, item);
    case DeviceBuild::key_switch:
      return add_key_switch(build, item);
    case DeviceBuild::alternator:  // the stated volts at the battery's posts include its charging
    case DeviceBuild::splice:      // its wires' crimps meet in one node: network/wires.cpp
    case DeviceBuild::unknown:
      return;
  }
}

}  // namespace

bool closed_at_rest(const NetworkBuild& build, const Device& device) {
  const auto figure = device_figure(device, "closed_at_rest", build.frame.system);
  return figure && figure->figure.middle() > 0.5;
}

void add_devices(NetworkBuild& build) {
  for (const Device& device : build.frame.graft.devices) {
    if (build.frame.forbidden.has_device(device.id)) {
      report(build, Severity::note, "forbidden",
             device_name(device) + " belongs to a restraint or high-voltage circuit and is left out.",
             "Leave that circuit alone.");
      continue;
    }
    if (build.removed.contains(device.id)) continue;
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind) {
      report(build, Severity::warning, "unknown-kind",
             device_name(device) +
                 (device.kind.empty() ? " has no kind." : " is of a kind nobody knows: " + device.kind + "."),
             "State its kind; until then it is left open.");
      continue;
    }
    add_device(build, {device, *kind});
  }
}

}  // namespace loomgraft::network
