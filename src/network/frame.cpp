// The plan is applied once, donor plugs are matched to the loom's, and every wire end is resolved: to the
// loom's plug, to the one terminal of a splice or an earth, or to the next free terminal of a device.
#include "network/frame.h"

#include <algorithm>

#include "loom/part_text.h"
#include "loom/plan.h"
#include "loom/routes.h"
#include "network/build_internal.h"

namespace loomgraft {

using namespace network;
namespace {

template <class Item>
ById<Item> by_id(const std::vector<Item>& items) {
  ById<Item> found;
  for (const Item& item : items) found.try_emplace(item.id, &item);
  return found;
}

void warn(LoomFrame& frame, ProblemCode code, std::string message, std::string remedy) {
  frame.problems.push_back({Severity::warning, code, {}, std::move(message), std::move(remedy)});
}

// Plugs of the same name correspond; if one of each is left over, so do those two.
void map_plugs(LoomFrame& frame, const Module& found, const Module& donor) {
  const auto name_of = [&](const std::string& id) {
    const auto connector = frame.connectors.find(id);
    return connector == frame.connectors.end() ? id : connector->second->name;
  };
  std::vector<std::string> open_found = found.connectors;
  std::vector<std::string> open_donor;
  for (const std::string& id : donor.connectors) {
    const auto same = std::ranges::find_if(
        open_found, [&](const std::string& other) { return name_of(other) == name_of(id); });
    if (same == open_found.end()) {
      open_donor.push_back(id);
      continue;
    }
    if (*same != id) frame.plug_of[id] = *same;
    open_found.erase(same);
  }
  if (open_found.size() == 1 && open_donor.size() == 1) {
    frame.plug_of[open_donor[0]] = open_found[0];
    frame.assumptions.push_back({open_donor[0], "plug", "takes the loom's plug " + name_of(open_found[0]),
                                 "it is the only one left, though its name differs"});
    return;
  }
  for (const std::string& id : open_donor)
    frame.assumptions.push_back(
        {id, "plug", "a plug that the loom does not have yet", "no plug of the loom has its name"});
}

const Module* of_role(const Graft& graft, ModuleRole role) {
  const auto found = std::ranges::find(graft.modules, role, &Module::role);
  return found == graft.modules.end() ? nullptr : &*found;
}

void choose_modules(LoomFrame& frame, LoomState loom_state) {
  const Module* found = of_role(frame.graft, ModuleRole::found);
  const Module* donor = of_role(frame.graft, ModuleRole::donor);
  if (found && donor) map_plugs(frame, *found, *donor);
  const bool changed = donor && (loom_state == LoomState::as_planned || !found);
  if (const Module* one = changed ? donor : found) frame.modules.push_back(one);
  for (const Module& module : frame.graft.modules) {
    if (module.role == ModuleRole::other && !module.pins.empty()) frame.modules.push_back(&module);
  }
  for (const Module* module : frame.modules) {
    for (const Pin& pin : module->pins)
      frame.pins.try_emplace(loom_cavity(frame, pin.at), PinAt{&pin, module});
  }
}

bool is_hub(const LoomFrame& frame, const std::string& id) {
  const DeviceBuild build = build_of(frame, id);
  return build == DeviceBuild::splice || build == DeviceBuild::earth;
}

// The terminals of a splice or an earth point are one node; a wire end without a terminal takes the device's
// next free one.
void resolve_end(LoomFrame& frame, WireEnd& end, const std::string& wire) {
  if (end.at.empty()) return;
  end.at = loom_cavity(frame, {end.at, end.cavity}).connector;
  const auto device = frame.devices.find(end.at);
  if (device == frame.devices.end()) return;
  const DeviceKind* kind = device_kind(device->second->kind);
  if (!kind) return;
  if (is_hub(frame, end.at)) {
    end.cavity = terminal_of(*device->second, *kind, 0);
    return;
  }
  if (!end.cavity.empty()) return;
  for (std::size_t k = 0; k < kind->terminals.size(); ++k) {
    const std::string terminal = terminal_of(*device->second, *kind, k);
    if (terminal.empty() || frame.wired.contains({end.at, terminal})) continue;
    end.cavity = terminal;
    frame.assumptions.push_back({wire, "terminal", terminal + " of " + device_name(*device->second),
                                 "the document does not say at which it ends"});
    return;
  }
}

bool is_terminal(const Device& device, const DeviceKind& kind, const std::string& name) {
  for (std::size_t k = 0; k < kind.terminals.size(); ++k) {
    if (terminal_of(device, kind, k) == name) return true;
  }
  return false;
}

void check_end(LoomFrame& frame, const WireEnd& end, const Wire& wire) {
  if (end.at.empty() || frame.connectors.contains(end.at)) return;
  const auto device = frame.devices.find(end.at);
  if (device == frame.devices.end()) {
    warn(frame, "no-such-id",
         "Wire " + frame.wire_texts.of(wire.id) + " ends at \"" + end.at +
             "\", which is no connector and no device.",
         "Correct the id; until then the end is open.");
    return;
  }
  const DeviceKind* kind = device_kind(device->second->kind);
  if (!kind || is_terminal(*device->second, *kind, end.cavity)) return;
  warn(frame, "no-such-terminal",
       "Wire " + frame.wire_texts.of(wire.id) + " ends at terminal \"" + end.cavity + "\" of " +
           device_name(*device->second) + ", which has none of that name.",
       "Correct the terminal; until then the end is open.");
}

void note_wired(LoomFrame& frame) {
  for (const Wire& wire : frame.wires) {
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      if (!end->at.empty() && !end->cavity.empty()) frame.wired.insert(*end);
    }
  }
}

void resolve_wires(LoomFrame& frame) {
  note_wired(frame);
  for (Wire& wire : frame.wires) {
    for (WireEnd* end : {&wire.from, &wire.to}) {
      const WireEnd written = *end;
      resolve_end(frame, *end, wire.id);
      check_end(frame, *end, wire);
      if (end->at.empty()) continue;
      frame.wired.insert(*end);
      if (written == *end) continue;
      frame.wired.erase(written);
      frame.resolved_ends.push_back({written, *end});
    }
  }
}

// A donor's pin is forbidden at the loom's plug that takes it as well, and what hangs on it there.
void note_forbidden(LoomFrame& frame) {
  std::vector<WireEnd> taken;
  for (const WireEnd& end : frame.forbidden.ends) {
    const CavityRef in_loom = loom_cavity(frame, {end.at, end.cavity});
    if (in_loom.connector != end.at) taken.push_back({in_loom.connector, in_loom.cavity});
  }
  if (taken.empty()) return;
  frame.forbidden.ends.insert(taken.begin(), taken.end());
  spread(frame.forbidden, frame.graft, frame.wires);
}

void note_allowed(LoomFrame& frame) {
  for (const Wire& wire : frame.wires) {
    if (frame.forbidden.wires.contains(wire.id)) continue;
    if (is_forbidden(frame, wire.from) || is_forbidden(frame, wire.to)) continue;
    frame.allowed_at.try_emplace(wire.from, frame.allowed.size());
    frame.allowed_at.try_emplace(wire.to, frame.allowed.size());
    frame.allowed.push_back(wire);
  }
}

LoomFrame laid_out(const Graft& graft, LoomState loom_state, PlannedWires loom, ForbiddenParts forbidden) {
  LoomFrame frame{graft, system_of(graft.vehicle.supply)};
  frame.forbidden = std::move(forbidden);
  frame.wires = std::move(loom.wires);
  frame.problems = std::move(loom.problems);
  frame.devices = by_id(graft.devices);
  frame.connectors = by_id(graft.connectors);
  frame.places = by_id(graft.places);
  frame.paths = by_id(graft.paths);
  frame.wire_texts = WireTexts(graft, frame.wires);
  choose_modules(frame, loom_state);
  note_forbidden(frame);
  note_allowed(frame);
  resolve_wires(frame);
  return frame;
}

}  // namespace

std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, LoomState loom_state) {
  if (loom_state == LoomState::as_planned) return frame_of(graft, as_planned(graft));
  PlannedWires found{graft.wires, {}};
  follow_shortest_ways(graft, found.wires);
  return std::make_shared<LoomFrame>(laid_out(graft, loom_state, std::move(found), forbidden_parts(graft)));
}

std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, PlannedWires planned) {
  return frame_of(graft, std::move(planned), forbidden_parts(graft));
}

std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, PlannedWires planned,
                                          const ForbiddenParts& forbidden) {
  return std::make_shared<LoomFrame>(laid_out(graft, LoomState::as_planned, std::move(planned), forbidden));
}

bool is_forbidden(const LoomFrame& frame, const WireEnd& end) {
  return frame.forbidden.has(end);
}

const Device* find_device(const LoomFrame& frame, const std::string& id) {
  const auto found = frame.devices.find(id);
  return found == frame.devices.end() ? nullptr : found->second;
}

const Wire* allowed_wire_at(const LoomFrame& frame, const WireEnd& end) {
  const auto found = frame.allowed_at.find(end);
  return found == frame.allowed_at.end() ? nullptr : &frame.allowed[found->second];
}

DeviceBuild build_of(const LoomFrame& frame, const std::string& id) {
  const Device* device = find_device(frame, id);
  const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
  return kind ? kind->build : DeviceBuild::unknown;
}

std::string end_name(const LoomFrame& frame, const WireEnd& end) {
  if (frame.connectors.contains(end.at)) return cavity_name(frame, {end.at, end.cavity});
  const Device* device = find_device(frame, end.at);
  const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
  const bool single = kind && kind->terminals.size() == 1;
  return (device ? device_name(*device) : end.at) + (single || end.cavity.empty() ? "" : " " + end.cavity);
}

std::string network::device_name(const Device& device) {
  return device_text(device);
}

std::string network::cavity_name(const LoomFrame& frame, const CavityRef& at) {
  const auto found = frame.connectors.find(at.connector);
  const bool named = found != frame.connectors.end() && !found->second->name.empty();
  return cavity_text(named ? found->second->name : at.connector, at.cavity);
}

std::string network::terminal_of(const Device& device, const DeviceKind& kind, std::size_t index) {
  if (index >= kind.terminals.size()) return {};
  const std::string& standard_name = kind.terminals[index];
  if (device.terminals.empty() || std::ranges::count(device.terminals, standard_name) > 0)
    return standard_name;
  if (index >= device.terminals.size()) return {};
  // A name that the kind knows has its own meaning, whatever its position in the list.
  const std::string& own = device.terminals[index];
  return std::ranges::count(kind.terminals, own) > 0 ? std::string{} : own;
}

CavityRef network::loom_cavity(const LoomFrame& frame, const CavityRef& at) {
  const auto plug = frame.plug_of.find(at.connector);
  return plug == frame.plug_of.end() ? at : CavityRef{plug->second, at.cavity};
}

}  // namespace loomgraft
