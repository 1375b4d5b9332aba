// Wires with their known or assumed length and size, and the contacts at their ends.
#include <algorithm>
#include <cmath>

#include "loom/end_id.h"
#include "loom/routes.h"
#include "network/build_internal.h"
#include "standards/copper.h"
#include "standards/network_figures.h"
#include "standards/wire_sizes.h"
#include "units/print.h"

namespace loomgraft::network {
namespace {

const Pin* pin_at(const NetworkBuild& build, const WireEnd& end) {
  const auto found = build.frame.pins.find({end.at, end.cavity});
  return found == build.frame.pins.end() ? nullptr : found->second.pin;
}

PinClass class_at(const NetworkBuild& build, const Wire& wire) {
  for (const WireEnd* end : {&wire.from, &wire.to}) {
    const Pin* pin = pin_at(build, *end);
    if (pin && pin->pin_class != PinClass::unknown) return pin->pin_class;
  }
  return PinClass::unknown;
}

bool usable(double value) {
  return value > 0.0 && std::isfinite(value);
}

const std::string& text_of(const NetworkBuild& build, const Wire& wire) {
  return build.frame.wire_texts.of(wire.id);
}

// The place of the device or plug that a wire ends at; empty where none is stated.
std::string_view place_at(const NetworkBuild& build, const WireEnd& end) {
  const auto device = build.frame.devices.find(end.at);
  if (device != build.frame.devices.end()) return device->second->place;
  const auto plug = build.frame.connectors.find(end.at);
  return plug == build.frame.connectors.end() ? std::string_view() : plug->second->place;
}

bool is_in_one_place(const NetworkBuild& build, const Wire& wire) {
  const std::string_view place = place_at(build, wire.from);
  return !place.empty() && place == place_at(build, wire.to);
}

double length_of(NetworkBuild& build, const Wire& wire) {
  if (wire.length && usable(wire.length->si)) return wire.length->si;
  if (wire.length) {
    report(build, Severity::warning, "bad-size",
           "Wire " + text_of(build, wire) + " has no length that a wire can have.",
           "Measure it; a default length is used until then.");
  }
  const Corner corner = corner_of(build, wire.id, "length");
  if (const auto route = route_length(build.frame.graft.paths, wire.along)) {
    if (!route->guessed) return route->typical.si;
    const Metres guess = corner == Corner::weakest     ? route->longest
                         : corner == Corner::strongest ? route->shortest
                                                       : route->typical;
    assume(build, wire.id, "length", print(guess), "usual for the way between its places");
    return guess.si;
  }
  const bool together = is_in_one_place(build, wire);
  const double metres = pick(network_figure(together ? "same_place_m" : "wire_length_m", build.frame.system),
                             Sense::resistance, corner);
  assume(build, wire.id, "length", print(Metres{metres}),
         together ? "both ends are in one place" : "nobody measured it");
  return metres;
}

SquareMetres area_of(NetworkBuild& build, const Wire& wire) {
  if (wire.area && usable(wire.area->si)) return *wire.area;
  if (wire.area) {
    report(build, Severity::warning, "bad-size",
           "Wire " + text_of(build, wire) + " has no area that a wire can have.",
           "Measure it; a default size is used until then.");
  }
  const PinClass pin_class = class_at(build, wire);
  if (pin_class != PinClass::unknown) {
    const PinRatings& ratings = pin_model(pin_class, PinSide::module, build.frame.system).ratings;
    assume(build, wire.id, "area", print(ratings.wire), "the smallest default of a " + ratings.text);
    return ratings.wire;
  }
  const SquareMetres area = square_millimetres(
      pick(network_figure("wire_mm2", build.frame.system), Sense::supply, corner_of(build, wire.id, "area")));
  assume(build, wire.id, "area", print(area), "nobody measured it");
  return area;
}

// In the weakest corner the hottest temperature stated for its paths, the places that they join and those of its ends,
// else the surroundings.
double temperature_of(const NetworkBuild& build, const Wire& wire) {
  if (build.options.corner != Corner::weakest) return ambient(build);
  std::optional<double> hottest;
  const auto consider = [&](const std::optional<Celsius>& stated) {
    if (stated) hottest = std::max(hottest.value_or(stated->degrees), stated->degrees);
  };
  const auto consider_place = [&](std::string_view id) {
    const auto place = build.frame.places.find(std::string(id));
    if (place != build.frame.places.end()) consider(place->second->hottest);
  };
  for (const std::string& id : wire.along) {
    const auto path = build.frame.paths.find(id);
    if (path == build.frame.paths.end()) continue;
    consider(path->second->hottest);
    consider_place(path->second->from);
    consider_place(path->second->to);
  }
  for (const WireEnd* end : {&wire.from, &wire.to}) consider_place(place_at(build, *end));
  return hottest.value_or(ambient(build));
}

double ohms_of(NetworkBuild& build, const Wire& wire) {
  const double length = length_of(build, wire);
  const WireSize size = wire_size_of(area_of(build, wire));
  return size.resistance.si * length * copper_factor({temperature_of(build, wire)});
}

NodeId crimped(NetworkBuild& build, const Wire& wire, const WireEnd& end, const BranchName& name,
               double ohms) {
  const NodeId at = outer_node(build, end);
  const NodeId crimp = add_node(build, name.name);
  build.network.nodes.back().module_side = false;
  const std::size_t branch = add_resistor(build, name, crimp, at, ohms);
  if (build.options.crimps) build.network.crimps[{wire.id, end}] = branch;
  return crimp;
}

// A splice joins each wire by a crimp of its own, so the wire ends at a node before it. With crimps, so does
// every terminal.
NodeId end_node(NetworkBuild& build, const Wire& wire, const WireEnd& end) {
  const auto found = build.frame.devices.find(end.at);
  const bool device = found != build.frame.devices.end() && !build.removed.contains(end.at);
  const DeviceKind* kind = device ? device_kind(found->second->kind) : nullptr;
  if (kind && kind->build == DeviceBuild::splice) {
    const double ohms = unlisted_pick(build, *found->second, "contact_ohm", Sense::resistance);
    return crimped(
        build, wire, end,
        {BranchKind::joint, end.at, device_name(*found->second) + ", wire " + text_of(build, wire)},
        ohms > 0.0 ? ohms : network_pick(build, "splice_ohm", Sense::resistance));
  }
  if (!build.options.crimps) return outer_node(build, end);
  const std::string name = found == build.frame.devices.end()
                               ? cavity_name(build.frame, {end.at, end.cavity})
                               : device_name(*found->second) + " " + end.cavity;
  return crimped(build, wire, end,
                 {BranchKind::joint, end_id(end), name + " crimp of wire " + text_of(build, wire)},
                 network_pick(build, "crimp_ohm", Sense::resistance));
}

void follow_open_end(NetworkBuild& build, const Wire& wire, NodeId near, const WireEnd& known) {
  const auto place = build.frame.pins.find({known.at, known.cavity});
  if (place == build.frame.pins.end()) {
    assume(build, wire.id, "far end", "left open", "nobody followed it, and no module pin tells its purpose");
    return;
  }
  const NodeId far = add_node(build, "far end of wire " + text_of(build, wire));
  build.network.nodes.back().module_side = false;
  add_resistor(build, {BranchKind::wire, wire.id, "wire " + text_of(build, wire)}, near, far,
               ohms_of(build, wire));
  const PinClass pin_class = place->second.pin->pin_class;
  const NodeId earth = inner_node(build, {place->second.module->id, "earth"});
  add_expected_end(build, {BranchKind::consumer, wire.id, "far end of wire " + text_of(build, wire)},
                   pin_class, far, earth);
}

void add_wire(NetworkBuild& build, const Wire& wire) {
  const bool from = !wire.from.at.empty();
  const bool to = !wire.to.at.empty();
  if (!from && !to) {
    report(build, Severity::note, "loose-wire",
           "Wire " + text_of(build, wire) + " has no end that leads anywhere.",
           "Follow it, or take it out of the document.");
    return;
  }
  if (build.frame.forbidden.wires.contains(wire.id) || is_forbidden(build.frame, wire.from) ||
      is_forbidden(build.frame, wire.to)) {
    report(
        build, Severity::note, "forbidden",
        "Wire " + text_of(build, wire) + " belongs to a restraint or high-voltage circuit and is left out.",
        "Leave that circuit alone.");
    return;
  }
  if (from && to && wire.from == wire.to) {
    report(build, Severity::warning, "wire-to-itself",
           "Wire " + text_of(build, wire) + " begins and ends at the same terminal.",
           "Correct one of its ends.");
    return;
  }
  if (!from || !to) {
    const WireEnd& known = from ? wire.from : wire.to;
    return follow_open_end(build, wire, end_node(build, wire, known), known);
  }
  const NodeId a = end_node(build, wire, wire.from);
  const NodeId b = end_node(build, wire, wire.to);
  const std::string name = "wire " + text_of(build, wire);
  if (wire.guessed) assume(build, wire.id, "far end", "as proposed", "nobody has looked where it goes");
  add_resistor(build, {BranchKind::wire, wire.id, name}, a, b, ohms_of(build, wire));
}

std::optional<Amperes> carried_by(const NetworkBuild& build, const Pin& pin) {
  if (pin.limits.current) return pin.limits.current;
  return pin_model(pin.pin_class, PinSide::module, build.frame.system).ratings.allowed;
}

// Cavities of plugs in the loom; a donor's plug that the loom has under its own id is that one.
std::set<WireEnd> ends_with_contacts(const NetworkBuild& build) {
  std::set<WireEnd> ends = build.frame.wired;
  if (!build.options.crimps) return ends;
  for (const auto& [id, connector] : build.frame.connectors) {
    const std::string plug = loom_cavity(build.frame, {id, ""}).connector;
    for (const CavityRow& row : connector->rows) {
      for (const std::string& cavity : row.cavities) {
        if (!cavity.empty()) ends.insert({plug, cavity});
      }
    }
  }
  for (const auto& [at, place] : build.frame.pins) ends.insert({at.connector, at.cavity});
  return ends;
}

void add_face(NetworkBuild& build, const WireEnd& end, double ohms) {
  if (is_forbidden(build.frame, end)) return;
  add_resistor(build,
               {BranchKind::contact, end_id(end), cavity_name(build.frame, {end.at, end.cavity}) + " face"},
               outer_node(build, end), face_node(build, end), ohms);
}

}  // namespace

void add_wires(NetworkBuild& build) {
  for (const Wire& wire : build.frame.wires) add_wire(build, wire);
}

// Plugs that are open because they or their mating half are unplugged.
std::set<std::string> open_plugs(const NetworkBuild& build) {
  std::set<std::string> open = build.unplugged;
  for (const auto& [id, connector] : build.frame.connectors) {
    if (connector->mates.empty()) continue;
    const std::string one = loom_cavity(build.frame, {id, ""}).connector;
    const std::string other = loom_cavity(build.frame, {connector->mates, ""}).connector;
    if (build.unplugged.contains(one)) open.insert(other);
    if (build.unplugged.contains(other)) open.insert(one);
  }
  return open;
}

// One branch for each cavity that holds a wire, on either half; with crimps, for each cavity.
void add_contacts(NetworkBuild& build) {
  const double ohms = network_pick(build, "contact_ohm", Sense::resistance);
  const std::set<std::string> open = open_plugs(build);
  std::set<WireEnd> mated;
  for (const WireEnd& end : ends_with_contacts(build)) {
    const auto found = build.frame.connectors.find(end.at);
    if (found == build.frame.connectors.end()) continue;
    if (build.options.crimps) outer_node(build, end);
    if (open.contains(end.at)) {
      if (build.options.crimps) add_face(build, end, ohms);
      continue;
    }
    const BranchName name{BranchKind::contact, end_id(end),
                          cavity_name(build.frame, {end.at, end.cavity}) + " contact"};
    if (const auto place = build.frame.pins.find({end.at, end.cavity}); place != build.frame.pins.end()) {
      if (is_forbidden(build.frame, end)) continue;
      const std::size_t branch =
          add_resistor(build, name, outer_node(build, end), inner_node(build, end), ohms);
      build.network.branches[branch].rating = carried_by(build, *place->second.pin);
      continue;
    }
    if (found->second->mates.empty() || mated.contains(end)) continue;
    const WireEnd other{loom_cavity(build.frame, {found->second->mates, ""}).connector, end.cavity};
    mated.insert(other);
    const NodeId far = outer_node(build, other);
    add_resistor(build, name, outer_node(build, end), far, ohms);
    build.network.inner_nodes.try_emplace(end, far);
    build.network.inner_nodes.try_emplace(other, outer_node(build, end));
  }
}

}  // namespace loomgraft::network
