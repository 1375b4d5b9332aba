// What can be wrong with a wire and with its two joints.
#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "loom/end_id.h"
#include "network/cavity_pins.h"
#include "network/fault_list_internal.h"
#include "network/joined_ends.h"

namespace loomgraft::network {
namespace {

// Wires that run together: which of them lie side by side is not known, so each is paired with the next few.
constexpr std::size_t bundle_reach = 3;

bool is_signal_end(const FaultScope& scope, const WireEnd& end) {
  switch (build_of(scope.frame, end.at)) {
    case DeviceBuild::thermistor:
    case DeviceBuild::potentiometer:
    case DeviceBuild::sensor:
    case DeviceBuild::pair:
      return true;
    default:
      break;
  }
  const auto pin = scope.frame.pins.find({end.at, end.cavity});
  if (pin == scope.frame.pins.end()) return false;
  switch (pin->second.pin->pin_class) {
    case PinClass::voltage_input:
    case PinClass::thermistor_input:
    case PinClass::digital_sensor_input:
    case PinClass::variable_reluctance:
    case PinClass::knock:
    case PinClass::oxygen_sensor:
    case PinClass::switch_to_earth_input:
    case PinClass::switch_to_supply_input:
    case PinClass::serial_line:
      return true;
    default:
      return false;
  }
}

void add_joint_faults(FaultList& list, const Wire& wire, const WireEnd& end, bool added) {
  if (end.at.empty()) return;
  const FaultScope& scope = list.scope();
  const std::string where = end_name(scope.frame, end);
  const DeviceBuild build = build_of(scope.frame, end.at);
  const bool hub = build == DeviceBuild::splice || build == DeviceBuild::earth;
  const Repair repair = hub ? Repair{"joint " + end.at + " " + wire.id,
                                     "remake the joint of " + text_of(scope, wire) + " at " + where}
                            : terminal_repair(scope, end);
  if (!hub && build != DeviceBuild::battery)
    list.add(FaultKind::terminal_unseated, {FaultSubject::at(end), FaultSubject::wire(wire.id)},
             "the terminal of " + text_of(scope, wire) + " is not seated in " + where, repair, added);
  if (added)
    list.add(FaultKind::intermittent_joint, {FaultSubject::at(end), FaultSubject::wire(wire.id)},
             text_of(scope, wire) + " opens at " + where + " when it is moved", repair, added);
  list.add(FaultKind::bad_joint, {FaultSubject::at(end), FaultSubject::wire(wire.id)},
           text_of(scope, wire) + " has a bad joint at " + where, repair, added,
           is_signal_end(scope, wire.from) || is_signal_end(scope, wire.to));
}

std::string battery_of(const FaultScope& scope) {
  for (const Device& device : scope.frame.graft.devices) {
    if (build_of(scope.frame, device.id) == DeviceBuild::battery &&
        !scope.frame.forbidden.has_device(device.id))
      return device.id;
  }
  return {};
}

// Ends that are joined to the battery's plus without a fuse.
std::set<WireEnd> unfused_feed(const FaultScope& scope) {
  const EndNeighbours neighbours = end_neighbours(scope.frame.wires);
  std::set<WireEnd> feed;
  for (const Device& device : scope.frame.graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::battery) continue;
    const auto ends =
        joined_ends(scope.frame.graft.devices, neighbours, {device.id, terminal_names(device).front()});
    feed.insert(ends.begin(), ends.end());
  }
  return feed;
}

// A wire to an earth point touches the body in a sound loom too, and one ahead of every fuse is a feed itself.
bool is_earthed(const FaultScope& scope, const Wire& wire) {
  return build_of(scope.frame, wire.from.at) == DeviceBuild::earth ||
         build_of(scope.frame, wire.to.at) == DeviceBuild::earth;
}

bool is_shield(const FaultScope& scope, const Wire& wire) {
  return std::ranges::any_of(std::array{&wire.from, &wire.to}, [&](const WireEnd* end) {
    const auto pin = scope.frame.pins.find({end->at, end->cavity});
    return pin != scope.frame.pins.end() && pin->second.pin->pin_class == PinClass::shield;
  });
}

// A shield is earthed at one end only; the second earth makes a loop.
void add_touching_earth(FaultList& list, const Wire& wire, bool added) {
  const FaultScope& scope = list.scope();
  const std::string text = text_of(scope, wire);
  if (is_shield(scope, wire)) {
    list.add(FaultKind::shield_earthed_twice, {FaultSubject::wire(wire.id)},
             "the shield " + text + " is earthed at its far end too", wire_repair(scope, wire), added);
    return;
  }
  list.add(FaultKind::short_to_earth, {FaultSubject::wire(wire.id)}, text + " touches the body",
           wire_repair(scope, wire), added);
  if (added)
    list.add(FaultKind::leak_to_earth, {FaultSubject::wire(wire.id)},
             text + " leaks to the body through damp",
             {"dry " + wire.id, "dry, clean and seal both ends of " + text}, added);
}

}  // namespace

void add_wire_faults(FaultList& list) {
  const FaultScope& scope = list.scope();
  const std::string battery = battery_of(scope);
  const std::set<WireEnd> feed = unfused_feed(scope);
  for (const Wire* one : scope.wires) {
    const Wire& wire = *one;
    const bool added = scope.altered.contains(wire.id);
    const std::string text = text_of(scope, wire);
    list.add(FaultKind::wire_open, {FaultSubject::wire(wire.id)}, text + " is broken",
             wire_repair(scope, wire), added);
    for (const WireEnd* end : {&wire.from, &wire.to}) add_joint_faults(list, wire, *end, added);
    if (added)
      list.add(FaultKind::thin_wire, {FaultSubject::wire(wire.id)},
               text + " is thinner than planned, or strands of it are cut", wire_repair(scope, wire), added);
    if (!is_earthed(scope, wire)) add_touching_earth(list, wire, added);
    if (!battery.empty() && !feed.contains(wire.from) && !feed.contains(wire.to))
      list.add(FaultKind::short_to_supply, {FaultSubject::wire(wire.id), FaultSubject::device(battery)},
               text + " touches a feed", wire_repair(scope, wire), added);
  }
}

// Wires on one path, each with the next few of them, one of the two added or moved.
void add_chafing(FaultList& list) {
  const FaultScope& scope = list.scope();
  std::map<std::string, std::vector<const Wire*>> along;
  for (const Wire* wire : scope.wires) {
    for (const std::string& path : wire->along) along[path].push_back(wire);
  }
  for (const auto& [path, wires] : along) {
    for (std::size_t i = 0; i < wires.size(); ++i) {
      for (std::size_t j = i + 1; j < std::min(wires.size(), i + 1 + bundle_reach); ++j) {
        const bool added = scope.altered.contains(wires[i]->id) || scope.altered.contains(wires[j]->id);
        if (!added) continue;
        const std::string both = text_of(scope, *wires[i], *wires[j]);
        list.add(FaultKind::chafed_together,
                 {FaultSubject::wire(wires[i]->id), FaultSubject::wire(wires[j]->id)},
                 both + " are chafed together",
                 {"pair " + wires[i]->id + " " + wires[j]->id, "part and insulate " + both}, added);
      }
    }
  }
}

}  // namespace loomgraft::network
