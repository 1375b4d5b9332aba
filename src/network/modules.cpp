// Modules: an earth rail and feed rails inside, and the circuit between those and each pin, by its class.
//
// Current in an earth wire lifts the rail that inputs and drivers refer to. A module without feed has dead
// pull-ups and a dead 5 V reference, because those follow the feed like the contacts of a relay.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "loom/end_id.h"
#include "network/build_internal.h"
#include "network/pin_bias_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::network {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

struct ModuleRails {
  const Module& module;
  NodeId earth;
  NodeId battery;        // rail of supply_30 pins
  NodeId ignition;       // rail of supply_15 pins; the same where the module has none
  std::string carrying;  // name of the switched feed that supplies the module
  NetworkRelay running;
};

struct NetworkPin {
  const Pin& pin;
  CavityRef at;  // in the loom's plug
  NodeId node;
  const PinModel& model;
  PinBias bias{};
};

BranchName named(const NetworkBuild& build, const NetworkPin& item, const std::string& part) {
  return {BranchKind::pin, end_id(item.at), cavity_name(build.frame, item.at) + " " + part};
}

bool is_output(const PinModel& model) {
  return model.ratings.kind == PinKind::output;
}

// A feed that the module supplies is switched like an output; its 5 V reference is always there.
bool is_switched(const Pin& pin, const PinModel& model) {
  return is_output(model) || pin.pin_class == PinClass::supply_output;
}

// Whether the state of an input fits the bias that the source states.
bool agrees(const PinState& state, const PinBias& bias) {
  if (bias.supply && (state.from_supply || state.volts != *bias.supply)) return false;
  const bool up = state.from_supply || state.volts.si > 0.0;
  return (bias.pull != Pull::up || up) && (bias.pull != Pull::down || !up);
}

// The last two-way state of a switched pin is "off", its first "on".
const PinState* state_of(const NetworkBuild& build, const NetworkPin& item) {
  const std::vector<PinState>& states = item.model.states;
  if (states.empty() || item.bias.pull == Pull::none) return nullptr;
  const auto two_way = [](const PinState& state) { return state.one_way == OneWay::no; };
  const auto last = std::find_if(states.rbegin(), states.rend(), two_way);
  if (item.pin.pin_class == PinClass::unknown) return last == states.rend() ? nullptr : &*last;
  if (is_switched(item.pin, item.model)) {
    if (build.driven.contains(item.at) && key_on(build)) return &states.front();
    return last == states.rend() ? nullptr : &*last;
  }
  const PinState* first = nullptr;
  for (const PinState& state : states) {
    if (!fits_key(build, state) || !two_way(state)) continue;
    if (agrees(state, item.bias)) return &state;
    if (!first) first = &state;
  }
  return first;
}

NodeId rail_of(const ModuleRails& rails, LeadsTo leads_to) {
  if (leads_to == LeadsTo::battery || leads_to == LeadsTo::bus) return rails.battery;
  if (leads_to == LeadsTo::ignition) return rails.ignition;
  return rails.earth;
}

// The module's own sources are behind a gate that closes while the module runs.
void add_gated_source(NetworkBuild& build, ModuleRails& rails, const NetworkPin& item, const PinState& state,
                      double ohms, double limit) {
  const NodeId behind = add_node(build, cavity_name(build.frame, item.at) + " source");
  add_source(build, named(build, item, state.name), behind, rails.earth, state.volts.si, ohms, limit);
  const BranchName gate = named(build, item, "gate");
  rails.running.make.push_back(add_resistor(build, gate, behind, item.node, rails.running.open.si));
}

void add_state(NetworkBuild& build, ModuleRails& rails, const NetworkPin& item, const PinState& state) {
  const bool stated = item.bias.resistance && !is_switched(item.pin, item.model);
  const double ohms =
      stated ? item.bias.resistance->si : pick_between(state.lowest, state.highest, build.options.corner);
  if (state.from_supply) {
    add_resistor(build, named(build, item, state.name), rail_of(rails, state.leads_to), item.node, ohms);
    return;
  }
  if (state.volts.si == 0.0) {
    add_resistor(build, named(build, item, state.name), item.node, rails.earth, ohms);
    return;
  }
  double limit = state.limit.si;
  if (std::isfinite(limit) && item.pin.limits.current) limit = item.pin.limits.current->si;
  add_gated_source(build, rails, item, state, ohms, limit > 0.0 ? limit : unlimited);
}

// A high-side output that is off lets current back into the rail, through the diode of its transistor.
void add_reverse_diode(NetworkBuild& build, const ModuleRails& rails, const NetworkPin& item) {
  for (const PinState& state : item.model.states) {
    if (state.one_way != OneWay::into) continue;
    const PinState& on = item.model.states.front();
    add_diode(build, named(build, item, "back through the output"), item.node, rail_of(rails, on.leads_to),
              state.volts.si, pick_between(on.lowest, on.highest, build.options.corner));
  }
}

void add_clamps(NetworkBuild& build, const ModuleRails& rails, const NetworkPin& item) {
  const double ohms = contention_rule("clamp_resistance", build.frame.system);
  const PinRatings& ratings = item.model.ratings;
  if (ratings.clamp_low)
    add_diode(build, named(build, item, "clamp to earth"), rails.earth, item.node,
              std::abs(ratings.clamp_low->si), ohms);
  if (ratings.clamp_high)
    add_diode(build, named(build, item, "clamp"), item.node, rails.earth, ratings.clamp_high->si, ohms);
}

// "B+ switched 1" and "B+ switched 2" are one feed; "ignition" is another.
std::string feed_name(const Pin& pin) {
  const std::string& name = pin.term.empty() ? pin.signal : pin.term;
  return name.substr(0, name.find_last_not_of("0123456789 ") + 1);
}

// Of several switched feeds the one with the most pins supplies the module; the others are only sensed, and are
// not joined to it inside.
std::string carrying_feed(const Module& module) {
  std::map<std::string, int> pins;
  for (const Pin& pin : module.pins) {
    if (pin.pin_class == PinClass::supply_15) ++pins[feed_name(pin)];
  }
  const auto most = std::ranges::max_element(pins, {}, [](const auto& entry) { return entry.second; });
  return most == pins.end() ? std::string() : most->first;
}

void add_sensed_feed(NetworkBuild& build, const ModuleRails& rails, const NetworkPin& item) {
  for (const PinState& state : item.model.states) {
    if (state.from_supply || state.leads_to != LeadsTo::earth || !fits_key(build, state)) continue;
    add_resistor(build, named(build, item, state.name), item.node, rails.earth, state.highest.si);
    return;
  }
}

// Pins of a rail: joined to it inside.
bool add_rail_pin(NetworkBuild& build, const ModuleRails& rails, const NetworkPin& item) {
  const bool battery = item.pin.pin_class == PinClass::supply_30;
  if (!battery && item.pin.pin_class != PinClass::supply_15) return false;
  if (!battery && feed_name(item.pin) != rails.carrying) {
    add_sensed_feed(build, rails, item);
    return true;
  }
  for (const PinState& state : item.model.states) {
    if (!state.from_supply) continue;
    add_resistor(build, named(build, item, "rail"), item.node, battery ? rails.battery : rails.ignition,
                 pick_between(state.lowest, state.highest, build.options.corner));
    return true;
  }
  return false;
}

void add_pin(NetworkBuild& build, ModuleRails& rails, const NetworkPin& item) {
  if (item.pin.hardware == false || item.pin.pin_class == PinClass::no_connection) return;
  if (add_rail_pin(build, rails, item)) return;
  if (item.pin.pin_class == PinClass::unknown)
    assume(build, end_id(item.at), "class", "an input with nothing to say", "nobody knows its class");
  if (const PinState* state = state_of(build, item)) add_state(build, rails, item, *state);
  add_reverse_diode(build, rails, item);
  add_clamps(build, rails, item);
}

bool has_class(const Module& module, PinClass pin_class) {
  return std::ranges::any_of(module.pins, [&](const Pin& pin) { return pin.pin_class == pin_class; });
}

bool is_wired(const NetworkBuild& build, const Module& module, PinClass pin_class) {
  return std::ranges::any_of(module.pins, [&](const Pin& pin) {
    const CavityRef at = loom_cavity(build.frame, pin.at);
    const WireEnd end{at.connector, at.cavity};
    return pin.pin_class == pin_class && !is_forbidden(build.frame, end) && build.frame.wired.contains(end);
  });
}

// What the module itself draws: the highest resistance of its class, as its outputs are branches of their
// own.
void add_own_draw(NetworkBuild& build, const ModuleRails& rails, PinClass pin_class, NodeId rail) {
  for (const PinState& state : pin_model(pin_class, PinSide::module, build.frame.system).states) {
    if (!fits_key(build, state) || state.leads_to != LeadsTo::earth) continue;
    add_resistor(build, {BranchKind::pin, rails.module.id, rails.module.name + " " + state.name}, rail,
                 rails.earth, state.highest.si);
    return;
  }
}

void add_assumed_feed(NetworkBuild& build, const ModuleRails& rails, PinClass pin_class, NodeId rail) {
  const bool battery = pin_class == PinClass::supply_30;
  if (is_wired(build, rails.module, pin_class)) return;
  const char* quantity = battery ? "battery feed" : "switched feed";
  const Corner corner = corner_of(build, rails.module.id, quantity);
  assume(build, rails.module.id, quantity, battery ? "joined to the battery" : "joined to the switched feed",
         "no wire to such a pin is known");
  const PinState& state = pin_model(pin_class, PinSide::loom, build.frame.system).states.front();
  add_resistor(build, {BranchKind::pin, rails.module.id, rails.module.name + " assumed feed"},
               battery ? battery_feed(build) : switched_feed(build), rail,
               pick_between(state.lowest, state.highest, corner));
}

void add_assumed_earth(NetworkBuild& build, const ModuleRails& rails) {
  if (is_wired(build, rails.module, PinClass::power_earth)) return;
  assume(build, rails.module.id, "earth", "joined to the body", "no wire to an earth pin is known");
  const PinState& state = pin_model(PinClass::power_earth, PinSide::loom, build.frame.system).states.front();
  add_resistor(build, {BranchKind::pin, rails.module.id, rails.module.name + " assumed earth"}, rails.earth,
               earth_node,
               pick_between(state.lowest, state.highest, corner_of(build, rails.module.id, "earth")));
}

ModuleRails add_rails(NetworkBuild& build, const Module& module) {
  ModuleRails rails{module, inner_node(build, {module.id, "earth"}), {}, {}, carrying_feed(module), {}};
  const bool battery = has_class(module, PinClass::supply_30);
  const bool ignition = has_class(module, PinClass::supply_15);
  if (battery || !ignition) rails.battery = inner_node(build, {module.id, "battery feed"});
  if (ignition) rails.ignition = inner_node(build, {module.id, "switched feed"});
  if (!ignition) rails.ignition = rails.battery;
  if (!battery && ignition) rails.battery = rails.ignition;
  rails.running.device = module.id;
  rails.running.coil_a = rails.ignition;
  rails.running.coil_b = rails.earth;
  rails.running.pull_in = {network_pick(build, "module_runs_v", Sense::resistance)};
  rails.running.release = {network_figure("module_runs_v", build.frame.system).low()};
  rails.running.closed = {network_pick(build, "contact_ohm", Sense::resistance)};
  rails.running.open = {network_figure("leakage_ohm", build.frame.system).high()};
  add_assumed_earth(build, rails);
  if (battery || !ignition) {
    add_assumed_feed(build, rails, PinClass::supply_30, rails.battery);
    add_own_draw(build, rails, PinClass::supply_30, rails.battery);
  }
  if (ignition) {
    add_assumed_feed(build, rails, PinClass::supply_15, rails.ignition);
    add_own_draw(build, rails, PinClass::supply_15, rails.ignition);
  }
  return rails;
}

void add_module(NetworkBuild& build, const Module& module) {
  ModuleRails rails = add_rails(build, module);
  for (const Pin& pin : module.pins) {
    const CavityRef at = loom_cavity(build.frame, pin.at);
    // A pin without a recorded wire stays open.
    if (!build.options.crimps && !build.frame.wired.contains({at.connector, at.cavity})) continue;
    if (is_forbidden(build.frame, WireEnd{at.connector, at.cavity})) {
      report(
          build, Severity::note, "forbidden",
          cavity_name(build.frame, at) + " belongs to a restraint or high-voltage circuit and is left out.",
          "Leave that circuit alone.");
      continue;
    }
    const NodeId node = inner_node(build, {at.connector, at.cavity});
    if (at.connector != pin.at.connector)
      build.network.inner_nodes.try_emplace({pin.at.connector, pin.at.cavity}, node);
    add_pin(
        build, rails,
        {pin, at, node, pin_model(pin.pin_class, PinSide::module, build.frame.system), pin_bias(pin.bias)});
  }
  if (!rails.running.make.empty()) build.network.relays.push_back(std::move(rails.running));
}

}  // namespace

void add_modules(NetworkBuild& build) {
  for (const Module* module : build.frame.modules) add_module(build, *module);
}

// For a document without them: a battery, and a feed that the key switches.
NodeId battery_feed(NetworkBuild& build) {
  if (build.battery_feed) return *build.battery_feed;
  for (const Device& device : build.frame.graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::battery || build.frame.forbidden.has_device(device.id)) continue;
    build.battery_feed = outer_node(build, {device.id, terminal_of(device, *kind, 0)});
    return *build.battery_feed;
  }
  assume(build, "vehicle", "battery", "one that the document does not show",
         "something needs a feed, and no battery is recorded");
  const NodeId plus = add_node(build, "battery +");
  build.network.nodes.back().module_side = false;
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
    if (!kind || kind->build != DeviceBuild::key_switch || build.frame.forbidden.has_device(device.id))
      continue;
    const WireEnd feed{device.id, terminal_of(device, *kind, 0)};
    if (!build.frame.wired.contains(feed) || build.removed.contains(device.id)) continue;
    build.switched_feed = outer_node(build, {device.id, terminal_of(device, *kind, 1)});
    return *build.switched_feed;
  }
  const NodeId feed = add_node(build, "switched feed");
  build.network.nodes.back().module_side = false;
  build.switched_feed = feed;
  assume(build, "vehicle", "key switch", "one that the document does not show",
         "something needs a switched feed, and no key switch is recorded");
  Device key_switch;
  key_switch.kind = "key_switch";
  const double ohms =
      unlisted_pick(build, key_switch, key_on(build) ? "contact_ohm" : "open_ohm", Sense::resistance);
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
         "nobody followed it; default of a " +
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
