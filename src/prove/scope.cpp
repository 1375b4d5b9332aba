#include <algorithm>

#include "base/union_find.h"
#include "loom/part_text.h"
#include "network/cavity_pins.h"
#include "prove/scope_internal.h"

namespace loomgraft::prove {
namespace {

bool is_hub(DeviceBuild build) {
  return build == DeviceBuild::splice || build == DeviceBuild::earth;
}

// A hub has one node, whatever its ends are called.
WireEnd joined_end(const ProveScope& scope, const WireEnd& end) {
  return is_hub(build_of(scope, end.at)) ? WireEnd{end.at, ""} : end;
}

bool is_reachable(const ProveScope& scope, const WireEnd& end) {
  if (end.at.empty() || end.cavity.empty()) return false;
  if (scope.frame->connectors.contains(end.at)) return true;
  const auto device = scope.frame->devices.find(end.at);
  return device != scope.frame->devices.end() && build_of(scope, end.at) != DeviceBuild::splice;
}

class Nets {
 public:
  std::uint32_t number(const WireEnd& end) {
    const auto [found, is_new] = numbers_.try_emplace(end, 0);
    if (is_new) found->second = sets_.add();
    return found->second;
  }
  std::uint32_t root(const WireEnd& end) { return sets_.root(number(end)); }
  void join(const WireEnd& a, const WireEnd& b) {
    const std::uint32_t first = number(a);
    sets_.join(first, number(b));
  }

 private:
  std::map<WireEnd, std::uint32_t> numbers_;
  UnionFind sets_;
};

void add_nets(ProveScope& scope) {
  Nets nets;
  std::set<std::string> wanted;
  for (const Wire& wire : scope.wires) wanted.insert(wire.id);
  for (const Wire& wire : scope.frame->allowed) {
    if (!wire.from.at.empty() && !wire.to.at.empty())
      nets.join(joined_end(scope, wire.from), joined_end(scope, wire.to));
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const auto plug = scope.frame->connectors.find(end->at);
      if (plug != scope.frame->connectors.end() && !plug->second->mates.empty())
        nets.join(*end, {plug->second->mates, end->cavity});
    }
  }
  std::map<std::size_t, std::size_t> place;
  for (const Wire& wire : scope.frame->allowed) {
    const WireEnd& one = wire.from.at.empty() ? wire.to : wire.from;
    const std::size_t root = nets.root(joined_end(scope, one));
    const auto [found, is_new] = place.try_emplace(root, scope.nets.size());
    if (is_new) scope.nets.emplace_back();
    LoomNet& net = scope.nets[found->second];
    net.wires.push_back(wire.id);
    net.wanted = net.wanted || wanted.contains(wire.id);
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const DeviceBuild build = build_of(scope, end->at);
      const bool post = build == DeviceBuild::battery;
      net.earthed = net.earthed || build == DeviceBuild::earth || (post && end->cavity == "-");
      net.feeds = net.feeds || (post && end->cavity == "+");
      scope.net_at.try_emplace(joined_end(scope, *end), found->second);
      scope.net_at.try_emplace(*end, found->second);
      if (is_reachable(scope, *end)) net.points.push_back(*end);
    }
  }
  for (LoomNet& net : scope.nets) {
    std::ranges::sort(net.points);
    net.points.erase(std::unique(net.points.begin(), net.points.end()), net.points.end());
  }
}

void add_near(ProveScope& scope, const WireEnd& a, const WireEnd& b) {
  const auto first = scope.net_at.find(a);
  const auto second = scope.net_at.find(b);
  if (first == scope.net_at.end() || second == scope.net_at.end() || first->second == second->second) return;
  scope.near.insert(std::minmax(a, b));
}

const Wire* wire_of(const ProveScope& scope, const std::string& id) {
  const auto found = std::ranges::find(scope.frame->allowed, id, &Wire::id);
  return found == scope.frame->allowed.end() ? nullptr : &*found;
}

// Against the first earth or feed of its module.
void add_own_pin(ProveScope& scope, const WireEnd& pin, const WireEnd& rail) {
  const bool feed = rail.cavity != "earth";
  for (const auto& [at, place] : scope.frame->pins) {
    const PinClass pin_class = place.pin->pin_class;
    const bool fits = feed ? pin_class == PinClass::supply_30 || pin_class == PinClass::supply_15
                           : pin_class == PinClass::power_earth;
    const WireEnd end{at.connector, at.cavity};
    if (place.module->id != rail.at || !fits || is_forbidden(*scope.frame, end)) continue;
    scope.own_pins.push_back({pin, end, feed});
    return;
  }
}

// Where a lamp at an open plug loads the wire.
void add_rails(ProveScope& scope) {
  for (const auto& [at, place] : scope.frame->pins) {
    const WireEnd end{at.connector, at.cavity};
    const auto net = scope.net_at.find(end);
    if (net == scope.net_at.end() || !scope.nets[net->second].wanted || is_forbidden(*scope.frame, end))
      continue;
    if (place.pin->pin_class == PinClass::supply_30 || place.pin->pin_class == PinClass::supply_15 ||
        place.pin->pin_class == PinClass::power_earth)
      scope.rails.push_back(at);
  }
}

void add_subjects(ProveScope& scope, const std::vector<Fault>& faults) {
  std::set<std::string> switches, fuses;
  std::set<CavityRef> outputs;
  for (const Fault& fault : faults) {
    if (fault.kind == FaultKind::opposite_contacts &&
        build_of(scope, fault.subjects[0].id) == DeviceBuild::contacts)
      switches.insert(fault.subjects[0].id);
    if (fault.kind == FaultKind::blown_fuse) fuses.insert(fault.subjects[0].id);
    if (fault.kind == FaultKind::dead_driver) {
      const WireEnd& end = fault.subjects[0].end;
      outputs.insert({end.at, end.cavity});
    }
    if (fault.kind == FaultKind::stuck_driver || fault.kind == FaultKind::blown_input)
      add_own_pin(scope, fault.subjects[0].end, fault.subjects[1].end);
    if (is_intermittent(fault)) {
      const auto net = scope.net_at.find(fault.subjects[0].end);
      if (net != scope.net_at.end()) scope.nets[net->second].moved = true;
    }
    if (fault.kind == FaultKind::bridged_cavities || fault.kind == FaultKind::leak_between ||
        fault.kind == FaultKind::swapped_wires)
      add_near(scope, fault.subjects[0].end, fault.subjects[1].end);
    if (fault.kind != FaultKind::chafed_together) continue;
    const Wire* a = wire_of(scope, fault.subjects[0].id);
    const Wire* b = wire_of(scope, fault.subjects[1].id);
    if (a && b) add_near(scope, a->from, b->from);
  }
  scope.switches.assign(switches.begin(), switches.end());
  scope.fuses.assign(fuses.begin(), fuses.end());
  scope.outputs.assign(outputs.begin(), outputs.end());
}

void add_parts(ProveScope& scope) {
  std::set<std::string> parts;
  for (const Wire& wire : scope.wires) {
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const DeviceBuild build = build_of(scope, end->at);
      const bool joint = is_hub(build) || build == DeviceBuild::battery || build == DeviceBuild::unknown;
      if (!joint && !scope.frame->forbidden.has_device(end->at)) parts.insert(end->at);
    }
  }
  scope.parts.assign(parts.begin(), parts.end());
}

// Outputs that hold a relay: among them the one that gives the module its own feed.
void add_relay_outputs(ProveScope& scope) {
  std::set<CavityRef> outputs;
  for (const Wire& wire : scope.frame->allowed) {
    for (const auto& [near, far] : {std::pair(&wire.from, &wire.to), std::pair(&wire.to, &wire.from)}) {
      if (build_of(scope, far->at) != DeviceBuild::relay) continue;
      const PinAt found = pin_at(*scope.graft, *near);
      if (found.pin && !is_forbidden(*scope.frame, *near) &&
          found.pin->pin_class == PinClass::low_side_driver)
        outputs.insert({near->at, near->cavity});
    }
  }
  scope.relay_outputs.assign(outputs.begin(), outputs.end());
}

// The vehicle's pin and the donor's are one circuit: it is named once.
void refuse(ProveScope& scope, const std::string& what) {
  std::string text = what + " belongs to a restraint or high-voltage circuit: no test is planned on it";
  if (std::ranges::find(scope.refused, text) == scope.refused.end()) scope.refused.push_back(std::move(text));
}

void add_refused(ProveScope& scope) {
  for (const Device& device : scope.graft->devices) {
    if (scope.frame->forbidden.has_device(device.id)) refuse(scope, device_text(device));
  }
  for (const Module& module : scope.graft->modules) {
    for (const Pin& pin : module.pins) {
      if (is_forbidden(*scope.frame, WireEnd{pin.at.connector, pin.at.cavity}))
        refuse(scope, end_text(scope, {pin.at.connector, pin.at.cavity}) +
                          (pin.signal.empty() ? "" : " (" + pin.signal + ")"));
    }
  }
}

void add_accesses(ProveScope& scope) {
  std::map<std::string, std::size_t> of_place;
  for (const LoomPlace& place : scope.graft->places) {
    if (!place.access || place.access->si <= 0.0) continue;
    of_place.emplace(place.id, scope.accesses.size());
    scope.accesses.push_back({place.id, place.name.empty() ? place.id : place.name, place.access->si / 60.0});
  }
  for (const auto& [id, device] : scope.frame->devices) {
    if (const auto found = of_place.find(device->place); found != of_place.end())
      scope.access_of[id] = found->second;
  }
}

}  // namespace

std::vector<std::size_t> accesses_to(const ProveScope& scope, const std::vector<std::string>& devices) {
  std::set<std::size_t> found;
  for (const std::string& device : devices) {
    if (const auto access = scope.access_of.find(device); access != scope.access_of.end())
      found.insert(access->second);
  }
  return {found.begin(), found.end()};
}

DeviceBuild build_of(const ProveScope& scope, const std::string& device) {
  return loomgraft::build_of(*scope.frame, device);
}

namespace {

std::string terminal_text(const ProveScope& scope, const WireEnd& end) {
  return end.cavity.empty() || is_hub(build_of(scope, end.at)) ? "" : " terminal " + end.cavity;
}

}  // namespace

std::string end_text(const ProveScope& scope, const WireEnd& end) {
  if (const auto plug = scope.frame->connectors.find(end.at); plug != scope.frame->connectors.end())
    return cavity_text(plug->second->name.empty() ? plug->second->id : plug->second->name, end.cavity);
  const auto device = scope.frame->devices.find(end.at);
  if (device == scope.frame->devices.end()) return end.at + (end.cavity.empty() ? "" : " " + end.cavity);
  return device_text_with_mark(*device->second) + terminal_text(scope, end);
}

std::string short_end_text(const ProveScope& scope, const WireEnd& end) {
  const auto device = scope.frame->devices.find(end.at);
  const std::string& name = device == scope.frame->devices.end() ? end.at : device_mark(*device->second);
  return name + terminal_text(scope, end);
}

bool is_sealed(const ProveScope& scope, const std::string& connector) {
  const auto found = scope.frame->connectors.find(connector);
  return found != scope.frame->connectors.end() && found->second->sealed;
}

ProveScope prove_scope(std::shared_ptr<const LoomFrame> frame, const std::vector<Fault>& faults) {
  ProveScope scope;
  scope.frame = std::move(frame);
  scope.graft = &scope.frame->graft;
  const Graft& graft = *scope.graft;
  for (const Device& device : graft.devices) {
    if (build_of(scope, device.id) == DeviceBuild::battery && !scope.frame->forbidden.has_device(device.id) &&
        scope.battery.empty())
      scope.battery = device.id;
  }
  std::set<std::string> ids;
  for (const Fault& fault : faults) {
    if (fault.kind == FaultKind::wire_open) ids.insert(fault.subjects[0].id);
  }
  for (const Wire& wire : scope.frame->allowed) {
    if (ids.contains(wire.id)) scope.wires.push_back(wire);
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const PinAt met = scope.frame->connectors.contains(end->at) ? pin_at(graft, *end) : PinAt{};
      if (!met.pin) continue;
      scope.module_plugs.insert(end->at);
      if (met.pin->pin_class == PinClass::power_earth && !is_forbidden(*scope.frame, *end))
        scope.module_earths[met.module->id].push_back(*end);
    }
  }
  add_nets(scope);
  add_subjects(scope, faults);
  add_rails(scope);
  add_parts(scope);
  add_relay_outputs(scope);
  add_refused(scope);
  add_accesses(scope);
  return scope;
}

}  // namespace loomgraft::prove
