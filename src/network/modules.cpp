// Modules: an earth rail and feed rails inside, and what stands between those and each pin by its class.
//
// What flows in an earth wire lifts the rail that inputs and drivers stand on; a module whose feed is gone
// has dead pull-ups and a dead 5 V reference, because those follow the feed like the contacts of a relay.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "loom/end_id.h"
#include "network/build_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::network {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

struct Inside {
  const Module& module;
  NodeId earth;
  NodeId battery;        // rail of supply_30 pins
  NodeId ignition;       // rail of supply_15 pins; the same where the module has none
  std::string carrying;  // the switched feed that carries the module
  NetworkRelay running;
};

struct PinCase {
  const Pin& pin;
  CavityRef at;  // in the loom's plug
  NodeId node;
  const PinModel& model;
};

BranchName named(const NetworkBuild& build, const PinCase& item, const std::string& words) {
  return {BranchKind::pin, end_id(item.at), cavity_name(build.frame, item.at) + " " + words};
}

bool is_output(const PinModel& model) {
  return model.ratings.kind == PinKind::output;
}

// A feed that the module gives out is switched as an output is; its 5 V reference is always there.
bool is_switched(const Pin& pin, const PinModel& model) {
  return is_output(model) || pin.pin_class == PinClass::supply_output;
}

// The source says that the module has no pull-up of its own here: one must be added in the loom.
bool lacks_pull_up(const Pin& pin) {
  return pin.bias == "none" || pin.bias.find("no pull") != std::string::npos ||
         pin.bias.find("external pull") != std::string::npos;
}

// The last two-way state of a switched pin is "off", its first "on".
const PinState* state_of(const NetworkBuild& build, const PinCase& item) {
  const std::vector<PinState>& states = item.model.states;
  if (states.empty() || lacks_pull_up(item.pin)) return nullptr;
  const auto two_way = [](const PinState& state) { return state.one_way == OneWay::no; };
  const auto last = std::find_if(states.rbegin(), states.rend(), two_way);
  if (item.pin.pin_class == PinClass::unknown) return last == states.rend() ? nullptr : &*last;
  if (is_switched(item.pin, item.model)) {
    if (build.driven.contains(item.at) && key_on(build)) return &states.front();
    return last == states.rend() ? nullptr : &*last;
  }
  const bool five = item.pin.bias.find("5 V") != std::string::npos;
  const PinState* first = nullptr;
  for (const PinState& state : states) {
    if (!fits_key(build, state) || !two_way(state)) continue;
    if (five && !state.from_supply && state.volts.si == 5.0) return &state;
    if (!first) first = &state;
  }
  return first;
}

NodeId rail_of(const Inside& inside, LeadsTo leads_to) {
  if (leads_to == LeadsTo::battery || leads_to == LeadsTo::bus) return inside.battery;
  if (leads_to == LeadsTo::ignition) return inside.ignition;
  return inside.earth;
}

// A source of the module's own stands behind a gate that closes while the module runs.
void add_gated_source(NetworkBuild& build, Inside& inside, const PinCase& item, const PinState& state,
                      double ohms, double limit) {
  const NodeId behind = add_node(build, cavity_name(build.frame, item.at) + " source");
  add_source(build, named(build, item, state.name), behind, inside.earth, state.volts.si, ohms, limit);
  const BranchName gate = named(build, item, "gate");
  inside.running.make.push_back(add_resistor(build, gate, behind, item.node, inside.running.open.si));
}

void add_state(NetworkBuild& build, Inside& inside, const PinCase& item, const PinState& state) {
  const double ohms = pick_between(state.lowest, state.highest, build.options.corner);
  if (state.from_supply) {
    add_resistor(build, named(build, item, state.name), rail_of(inside, state.leads_to), item.node, ohms);
    return;
  }
  if (state.volts.si == 0.0) {
    add_resistor(build, named(build, item, state.name), item.node, inside.earth, ohms);
    return;
  }
  double limit = state.limit.si;
  if (std::isfinite(limit) && item.pin.limits.current) limit = item.pin.limits.current->si;
  add_gated_source(build, inside, item, state, ohms, limit > 0.0 ? limit : unlimited);
}

// A high-side output that is off lets current back into the rail, through the diode of its transistor.
void add_back_way(NetworkBuild& build, const Inside& inside, const PinCase& item) {
  for (const PinState& state : item.model.states) {
    if (state.one_way != OneWay::into) continue;
    const PinState& on = item.model.states.front();
    add_diode(build, named(build, item, "back through the output"), item.node, rail_of(inside, on.leads_to),
              state.volts.si, pick_between(on.lowest, on.highest, build.options.corner));
  }
}

void add_clamps(NetworkBuild& build, const Inside& inside, const PinCase& item) {
  const double ohms = contention_rule("clamp_resistance", build.frame.system);
  const PinRatings& ratings = item.model.ratings;
  if (ratings.clamp_low)
    add_diode(build, named(build, item, "clamp to earth"), inside.earth, item.node,
              std::abs(ratings.clamp_low->si), ohms);
  if (ratings.clamp_high)
    add_diode(build, named(build, item, "clamp"), item.node, inside.earth, ratings.clamp_high->si, ohms);
}

// "B+ switched 1" and "B+ switched 2" are one feed; "ignition" is another.
std::string feed_name(const Pin& pin) {
  const std::string& words = pin.term.empty() ? pin.signal : pin.term;
  return words.substr(0, words.find_last_not_of("0123456789 ") + 1);
}

// Of several switched feeds the one with most pins carries the module; the others only tell it something, and
// are not joined to it inside.
std::string carrying_feed(const Module& module) {
  std::map<std::string, int> pins;
  for (const Pin& pin : module.pins) {
    if (pin.pin_class == PinClass::supply_15) ++pins[feed_name(pin)];
  }
  const auto most = std::ranges::max_element(pins, {}, [](const auto& entry) { return entry.second; });
  return most == pins.end() ? std::string() : most->first;
}

void add_telling_feed(NetworkBuild& build, const Inside& inside, const PinCase& item) {
  for (const PinState& state : item.model.states) {
    if (state.from_supply || state.leads_to != LeadsTo::earth || !fits_key(build, state)) continue;
    add_resistor(build, named(build, item, state.name), item.node, inside.earth, state.highest.si);
    return;
  }
}

// Pins of a rail: joined to it inside.
bool add_rail_pin(NetworkBuild& build, const Inside& inside, const PinCase& item) {
  const bool battery = item.pin.pin_class == PinClass::supply_30;
  if (!battery && item.pin.pin_class != PinClass::supply_15) return false;
  if (!battery && feed_name(item.pin) != inside.carrying) {
    add_telling_feed(build, inside, item);
    return true;
  }
  for (const PinState& state : item.model.states) {
    if (!state.from_supply) continue;
    add_resistor(build, named(build, item, "rail"), item.node, battery ? inside.battery : inside.ignition,
                 pick_between(state.lowest, state.highest, build.options.corner));
    return true;
  }
  return false;
}

void add_pin(NetworkBuild& build, Inside& inside, const PinCase& item) {
  if (item.pin.hardware == false || item.pin.pin_class == PinClass::no_connection) return;
  if (add_rail_pin(build, inside, item)) return;
  if (item.pin.pin_class == PinClass::unknown)
    assume(build, end_id(item.at), "class", "an input with nothing to say", "nobody knows its class");
  if (const PinState* state = state_of(build, item)) add_state(build, inside, item, *state);
  add_back_way(build, inside, item);
  add_clamps(build, inside, item);
}

bool has_class(const Module& module, PinClass pin_class) {
  return std::ranges::any_of(module.pins, [&](const Pin& pin) { return pin.pin_class == pin_class; });
}

bool is_wired(const NetworkBuild& build, const Module& module, PinClass pin_class) {
  return std::ranges::any_of(module.pins, [&](const Pin& pin) {
    const CavityRef at = loom_cavity(build.frame, pin.at);
    return pin.pin_class == pin_class && !pin.forbidden &&
           build.frame.wired.contains({at.connector, at.cavity});
  });
}

// What the module itself draws: the highest resistance of its class, as its outputs are branches of their
// own.
void add_own_draw(NetworkBuild& build, const Inside& inside, PinClass pin_class, NodeId rail) {
  for (const PinState& state : pin_model(pin_class, PinSide::module, build.frame.system).states) {
    if (!fits_key(build, state) || state.leads_to != LeadsTo::earth) continue;
    add_resistor(build, {BranchKind::pin, inside.module.id, inside.module.name + " " + state.name}, rail,
                 inside.earth, state.highest.si);
    return;
  }
}

void add_assumed_feed(NetworkBuild& build, const Inside& inside, PinClass pin_class, NodeId rail) {
  const bool battery = pin_class == PinClass::supply_30;
  if (is_wired(build, inside.module, pin_class)) return;
  const char* quantity = battery ? "battery feed" : "switched feed";
  const Corner corner = corner_of(build, inside.module.id, quantity);
  assume(build, inside.module.id, quantity, battery ? "joined to the battery" : "joined to the switched feed",
         "no wire to such a pin is known");
  const PinState& state = pin_model(pin_class, PinSide::loom, build.frame.system).states.front();
  add_resistor(build, {BranchKind::pin, inside.module.id, inside.module.name + " assumed feed"},
               battery ? battery_feed(build) : switched_feed(build), rail,
               pick_between(state.lowest, state.highest, corner));
}

void add_assumed_earth(NetworkBuild& build, const Inside& inside) {
  if (is_wired(build, inside.module, PinClass::power_earth)) return;
  assume(build, inside.module.id, "earth", "joined to the body", "no wire to an earth pin is known");
  const PinState& state = pin_model(PinClass::power_earth, PinSide::loom, build.frame.system).states.front();
  add_resistor(build, {BranchKind::pin, inside.module.id, inside.module.name + " assumed earth"},
               inside.earth, earth_node,
               pick_between(state.lowest, state.highest, corner_of(build, inside.module.id, "earth")));
}

Inside open_up(NetworkBuild& build, const Module& module) {
  Inside inside{module, inner_node(build, {module.id, "earth"}), {}, {}, carrying_feed(module), {}};
  const bool battery = has_class(module, PinClass::supply_30);
  const bool ignition = has_class(module, PinClass::supply_15);
  if (battery || !ignition) inside.battery = inner_node(build, {module.id, "battery feed"});
  if (ignition) inside.ignition = inner_node(build, {module.id, "switched feed"});
  if (!ignition) inside.ignition = inside.battery;
  if (!battery && ignition) inside.battery = inside.ignition;
  inside.running.device = module.id;
  inside.running.coil_a = inside.ignition;
  inside.running.coil_b = inside.earth;
  inside.running.pull_in = {network_pick(build, "module_runs_v", Sense::resistance)};
  inside.running.release = {network_figure("module_runs_v", build.frame.system).low()};
  inside.running.closed = {network_pick(build, "contact_ohm", Sense::resistance)};
  inside.running.open = {network_figure("leakage_ohm", build.frame.system).high()};
  add_assumed_earth(build, inside);
  if (battery || !ignition) {
    add_assumed_feed(build, inside, PinClass::supply_30, inside.battery);
    add_own_draw(build, inside, PinClass::supply_30, inside.battery);
  }
  if (ignition) {
    add_assumed_feed(build, inside, PinClass::supply_15, inside.ignition);
    add_own_draw(build, inside, PinClass::supply_15, inside.ignition);
  }
  return inside;
}

void add_module(NetworkBuild& build, const Module& module) {
  Inside inside = open_up(build, module);
  for (const Pin& pin : module.pins) {
    const CavityRef at = loom_cavity(build.frame, pin.at);
    // A pin whose wire nobody recorded stays open: it has no part in what the document describes.
    if (!build.options.crimps && !build.frame.wired.contains({at.connector, at.cavity})) continue;
    if (pin.forbidden) {
      report(
          build, Severity::note, "forbidden",
          cavity_name(build.frame, at) + " belongs to a restraint or high-voltage circuit and is left out.",
          "Leave that circuit alone.");
      continue;
    }
    const NodeId node = inner_node(build, {at.connector, at.cavity});
    if (at.connector != pin.at.connector)
      build.network.inner_places.try_emplace({pin.at.connector, pin.at.cavity}, node);
    add_pin(build, inside, {pin, at, node, pin_model(pin.pin_class, PinSide::module, build.frame.system)});
  }
  if (!inside.running.make.empty()) build.network.relays.push_back(std::move(inside.running));
}

}  // namespace

void add_modules(NetworkBuild& build) {
  for (const Module* module : build.frame.modules) add_module(build, *module);
}

// What the document lacks: a battery, and a feed that the key switches.
NodeId battery_feed(NetworkBuild& build) {
  if (build.battery_feed) return *build.battery_feed;
  for (const Device& device : build.frame.graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::battery || device.forbidden) continue;
    build.battery_feed = outer_node(build, {device.id, terminal_of(device, *kind, 0)});
    return *build.battery_feed;
  }
  assume(build, "vehicle", "battery", "one that the document does not show",
         "something needs a feed, and no battery is recorded");
  const NodeId plus = add_node(build, "battery +");
  build.network.nodes.back().inner = false;
  build.battery_feed = plus;
  if (!build.condition.battery_off)
    add_source(build, {BranchKind::supply, "vehicle", "battery"}, plus, earth_node, supply_volts(build),
               network_pick(build, "battery_ohm", Sense::resistance), unlimited);
  return plus;
}

NodeId switched_feed(NetworkBuild& build) {
  if (build.switched_feed) return *build.switched_feed;
  for (const Device& device : build.frame.graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::key_switch || device.forbidden) continue;
    const WireEnd feed{device.id, terminal_of(device, *kind, 0)};
    if (!build.frame.wired.contains(feed) || build.removed.contains(device.id)) continue;
    build.switched_feed = outer_node(build, {device.id, terminal_of(device, *kind, 1)});
    return *build.switched_feed;
  }
  const NodeId feed = add_node(build, "switched feed");
  build.network.nodes.back().inner = false;
  build.switched_feed = feed;
  assume(build, "vehicle", "key switch", "one that the document does not show",
         "something needs a switched feed, and no key switch is recorded");
  Device usual;
  usual.kind = "key_switch";
  const double ohms = quiet_pick(build, usual, key_on(build) ? "contact_ohm" : "open_ohm", Sense::resistance);
  add_resistor(build, {BranchKind::contacts, "vehicle", "key switch"}, battery_feed(build), feed, ohms);
  return feed;
}

void add_expected_end(NetworkBuild& build, const BranchName& name, PinClass pin_class, NodeId far,
                      NodeId earth) {
  const std::vector<PinState>& states = pin_model(pin_class, PinSide::loom, build.frame.system).states;
  const auto fits = [&](const PinState& state) { return fits_key(build, state); };
  const auto state = std::ranges::find_if(states, fits);
  if (state == states.end() || pin_class == PinClass::unknown || state->leads_to == LeadsTo::open) {
    assume(build, name.subject, "far end", "left open", "nobody followed it");
    return;
  }
  assume(build, name.subject, "far end", state->name,
         "nobody followed it; usual of a " +
             pin_model(pin_class, PinSide::module, build.frame.system).ratings.text);
  const double ohms = pick_between(state->lowest, state->highest, corner_of(build, name.subject, "far end"));
  if (state->from_supply) {
    const bool battery = state->leads_to == LeadsTo::battery || state->leads_to == LeadsTo::bus;
    add_resistor(build, name, battery ? battery_feed(build) : switched_feed(build), far, ohms);
    return;
  }
  const bool body = state->leads_to == LeadsTo::earth;
  if (state->volts.si == 0.0) {
    add_resistor(build, name, far, body ? earth_node : earth, ohms);
    return;
  }
  add_source(build, name, far, body ? earth_node : earth, state->volts.si, ohms,
             state->limit.si > 0.0 ? state->limit.si : unlimited);
}

}  // namespace loomgraft::network
