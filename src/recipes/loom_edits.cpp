#include "recipes/loom_edits.h"

#include <algorithm>
#include <set>

#include "loom/forbidden.h"
#include "loom/plan.h"
#include "network/joined_ends.h"
#include "recipes/circuit_rows.h"
#include "recipes/part_names.h"
#include "recipes/parts_internal.h"
#include "recipes/wire_edits.h"

namespace loomgraft {

using namespace recipes;
namespace {

struct Ends {
  WireEnd in;
  WireEnd out;
};

Ends plug_in_wire(Completion& result, const Wire& planned) {
  Graft& graft = result.graft;
  const std::string name = planned.signal.empty() ? planned.id : planned.signal;
  const std::string id = free_id(graft, id_like(name + " plug"));
  for (const char* half : {"a", "b"}) {
    Connector connector;
    connector.id = id + "_" + half;
    connector.name = name + " plug " + half;
    connector.view = View::mating;
    CavityRow row;
    row.cavities = {"1"};
    row.pitch = Metres{0.005};
    connector.rows = {row};
    connector.rows_guessed = true;
    if (*half == 'b') connector.mates = id + "_a";
    result.devices.push_back(connector.id);
    graft.connectors.push_back(std::move(connector));
  }
  return {{id + "_a", "1"}, {id + "_b", "1"}};
}

Ends device_in_wire(Completion& result, const Wire& planned, std::string_view kind, bool guessed) {
  const DeviceKind* known = device_kind(kind);
  Device device;
  device.kind = kind;
  const std::string name = planned.signal.empty() ? planned.id : planned.signal;
  device.name = name + " " + (kind == "splice" ? std::string("joint") : known->text);
  device.id = free_id(result.graft, id_like(device.name));
  device.recipe = inserted;
  device.guessed = guessed;
  const auto terminals = terminal_names(device);
  result.devices.push_back(device.id);
  result.graft.devices.push_back(device);
  return {{device.id, terminals.front()},
          {device.id, terminals.size() > 1 ? terminals[1] : terminals.front()}};
}

// The devices and wires of the circuit of a pin's wire, without its feed, shared pins and the battery.
struct Members {
  std::set<std::string> devices;
  std::set<std::string> wires;
};

Members members_of(const Graft& graft, const std::vector<Wire>& planned, const std::string& wire) {
  Members members;
  for (const CircuitRow& row : circuit_rows(graft, planned, wire)) {
    for (const RowPart& part : row) {
      if (!part.wire.empty()) members.wires.insert(part.wire);
      const Device* device = find_by_id(graft.devices, part.id);
      if (part.kind == RowPartKind::device && device && !device->recipe.empty() &&
          device->recipe != vehicle_supply)
        members.devices.insert(part.id);
    }
  }
  // A device that a wire of another circuit uses too stays.
  for (const Wire& other : planned) {
    if (members.wires.contains(other.id)) continue;
    members.devices.erase(other.from.at);
    members.devices.erase(other.to.at);
  }
  return members;
}

bool touches(const std::set<std::string>& devices, const Wire& wire) {
  return devices.contains(wire.from.at) || devices.contains(wire.to.at);
}

// Opens the end of a pin's wire at a device that goes; says whether the wire itself stays.
bool stays_open(const Graft& graft, const std::set<std::string>& devices, Wire& wire) {
  WireEnd& gone = devices.contains(wire.from.at) ? wire.from : wire.to;
  const WireEnd& other = devices.contains(wire.from.at) ? wire.to : wire.from;
  if (!find_by_id(graft.connectors, other.at)) return false;
  gone = {};
  wire.guessed = false;
  wire.twist.clear();
  return true;
}

void replace_end(WireEnd& end, const std::string& device, const std::string& other) {
  if (end.at == device) end.at = other;
}

bool same_run(const Wire& a, const Wire& b) {
  return (a.from == b.from && a.to == b.to) || (a.from == b.to && a.to == b.from);
}

Completion insert(const Graft& graft, const std::string& id, std::string_view part, bool by_plan) {
  const std::vector<Wire> planned = as_planned(graft).wires;
  const Wire* wire = find_by_id(planned, id);
  if (!wire || wire->to.at.empty() || wire->from.at.empty())
    return refused(graft, "There is no wire \"" + id + "\" with two ends.", "Give it its far end first.");
  const DeviceKind* kind = device_kind(part);
  if (part != "connector" && (!kind || kind->terminals.empty()))
    return refused(graft, "\"" + std::string(part) + "\" is nothing that can be put into a wire.",
                   "Choose a splice, a connector, a fuse or another kind with two terminals.");
  Completion result{graft, {}, {}, {}};
  const ForbiddenParts forbidden = forbidden_parts(graft);
  if (forbidden.wires.contains(id) || forbidden.has(wire->from) || forbidden.has(wire->to))
    return refused(graft, "This is a restraint or high-voltage circuit.",
                   "Leave it alone: it is for trained people with the maker's procedure.");
  const bool guessed = is_guessed(graft, id) && !by_plan;
  if (kind && kind->build == DeviceBuild::relay)
    return insert_relay(graft, from_the_module(graft, *wire), guessed, forbidden);
  const Ends ends =
      part == "connector" ? plug_in_wire(result, *wire) : device_in_wire(result, *wire, part, guessed);
  // The far end is the one away from the module.
  const Wire turned = from_the_module(graft, *wire);
  lead_to(result.graft, turned, ends.in, guessed);
  add_rest(result, turned, ends.out, turned.to, guessed);
  return result;
}

}  // namespace

Completion insert_part(const Graft& graft, const std::string& wire, std::string_view part) {
  return insert(graft, wire, part, false);
}

Completion insert_joint(const Graft& graft, const std::string& wire, bool by_plan) {
  return insert(graft, wire, "splice", by_plan);
}

Completion second_earth(const Graft& graft, const std::string& id) {
  const std::vector<Wire> planned = as_planned(graft).wires;
  for (const Wire& wire : planned) {
    const bool from = wire.from.at == id;
    if (!from && wire.to.at != id) continue;
    const WireEnd& own = from ? wire.from : wire.to;
    const Device* earth = find_by_id(graft.devices, (from ? wire.to : wire.from).at);
    if (!earth || build_of(*earth) != DeviceBuild::earth) continue;
    Completion result{graft, {}, {}, {}};
    const bool guessed = is_guessed(graft, wire.id);
    Device second = *earth;
    second.id = free_id(graft, earth->id + "_second");
    second.name = earth->name + ", second";
    second.recipe = inserted;
    second.guessed = guessed;
    result.devices.push_back(second.id);
    result.graft.devices.push_back(second);
    Wire like = wire;
    like.area.reset();
    add_rest(result, like, own, {second.id, terminal_names(second).front()}, guessed);
    return result;
  }
  return refused(graft, "This device has no wire to an earth point.",
                 "Give it its first earth before a second one.");
}

Completion use_existing(const Graft& graft, const std::string& device, const std::string& other) {
  const Device* gone = find_by_id(graft.devices, device);
  const Device* stays = find_by_id(graft.devices, other);
  if (!gone || !stays || device == other || gone->kind != stays->kind)
    return refused(graft, "Only a device of the same kind can take its place.",
                   "Choose one of the devices that are there.");
  Completion result{graft, {}, {}, {}};
  Graft& changed = result.graft;
  const std::vector<Wire> before = as_planned(graft).wires;
  const auto has_wire = [&](const Wire& wire) {
    return std::ranges::any_of(
        before, [&](const Wire& known) { return known.id != wire.id && same_run(known, wire); });
  };
  const auto led_away = [&](Wire& wire) {
    const bool touched = wire.from.at == device || wire.to.at == device;
    replace_end(wire.from, device, other);
    replace_end(wire.to, device, other);
    return touched && (wire.from == wire.to || has_wire(wire));
  };
  std::erase_if(changed.wires, led_away);
  std::erase_if(changed.plan, [&](PlanStep& step) {
    replace_end(step.from, device, other);
    replace_end(step.to, device, other);
    return step.added && led_away(*step.added);
  });
  std::erase_if(changed.devices, [&](const Device& item) { return item.id == device; });
  for (Condition& condition : changed.conditions) {
    std::erase(condition.worked, device);
    std::erase(condition.removed, device);
  }
  return result;
}

Completion reopen_circuit(const Graft& graft, const std::string& id) {
  Completion result{graft, {}, {}, {}};
  Graft& changed = result.graft;
  bool whole_again = take_out_inserted(changed, id);
  for (const std::string& wire : members_of(graft, as_planned(graft).wires, id).wires)
    whole_again = take_out_inserted(changed, wire) || whole_again;
  const Graft before = changed;
  const Members members = members_of(before, as_planned(before).wires, id);
  if (members.devices.empty() && whole_again) return result;
  if (members.devices.empty())
    return refused(graft, "Nothing of this circuit was proposed by a recipe.",
                   "Change it in the tables of the loom.");
  std::erase_if(changed.plan, [&](PlanStep& step) {
    return step.added && touches(members.devices, *step.added) &&
           !stays_open(before, members.devices, *step.added);
  });
  std::erase_if(changed.wires, [&](Wire& wire) {
    return touches(members.devices, wire) && !stays_open(before, members.devices, wire);
  });
  std::erase_if(changed.devices, [&](const Device& device) { return members.devices.contains(device.id); });
  return result;
}

Completion confirm_circuit(const Graft& graft, const std::string& id) {
  Completion result{graft, {}, {}, {}};
  for (const CircuitRow& row : circuit_rows(graft, as_planned(graft).wires, id)) {
    for (const RowPart& part : row) {
      if (Wire* wire = find_by_id(result.graft.wires, part.wire)) wire->guessed = false;
      if (Device* device = find_by_id(result.graft.devices, part.id)) device->guessed = false;
    }
  }
  return result;
}

}  // namespace loomgraft
