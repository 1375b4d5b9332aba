#include "recipes/rails.h"

#include <algorithm>
#include <map>
#include <set>

#include "loom/plan.h"
#include "network/cavity_pins.h"
#include "network/joined_ends.h"
#include "recipes/parts_internal.h"

namespace loomgraft::recipes {
namespace {

// The joint of the rail with the most wires, else the far side of its fusible link, else where it starts.
WireEnd best_of(const Graft& graft, const EndNeighbours& neighbours, const std::vector<WireEnd>& ends) {
  WireEnd best = ends.front();
  std::size_t most = 0;
  for (const WireEnd& end : ends) {
    const Device* device = find_by_id(graft.devices, end.at);
    if (!device || !carries_rail(*device)) continue;
    const auto wires = neighbours.find(end);
    const std::size_t count = (build_of(*device) == DeviceBuild::splice ? 100 : 0) +
                              (wires == neighbours.end() ? 0 : wires->second.size());
    if (count < most || (count == most && most > 0)) continue;
    most = count;
    best = end;
  }
  return best;
}

// Without these, nothing that is forbidden is reached.
std::vector<Wire> allowed_of(const std::vector<Wire>& planned, const ForbiddenParts& forbidden) {
  std::vector<Wire> allowed;
  for (const Wire& wire : planned) {
    if (!forbidden.wires.contains(wire.id) && !forbidden.has(wire.from) && !forbidden.has(wire.to))
      allowed.push_back(wire);
  }
  return allowed;
}

// A joint behind a relay's contacts is a rail where fuses or feed pins of modules hang on it; else it joins the relay's loads.
bool feeds_others(const Graft& graft, const EndNeighbours& neighbours, const WireEnd& joint) {
  const Device* device = find_by_id(graft.devices, joint.at);
  const auto wires = neighbours.find(joint);
  if (!device || build_of(*device) != DeviceBuild::splice || wires == neighbours.end()) return false;
  return std::ranges::any_of(wires->second, [&](const WireEnd& end) {
    const Device* other = find_by_id(graft.devices, end.at);
    if (other) return build_of(*other) == DeviceBuild::fuse;
    const Pin* pin = pin_at(graft, end).pin;
    return pin && (pin->pin_class == PinClass::supply_15 || pin->pin_class == PinClass::supply_30);
  });
}

std::vector<WireEnd> starts_of(const Graft& graft, const EndNeighbours& neighbours, std::string_view terminal,
                               const ForbiddenParts& forbidden) {
  std::vector<WireEnd> starts;
  for (const Device& device : graft.devices) {
    if (forbidden.has_device(device.id)) continue;
    const DeviceBuild build = build_of(device);
    if (terminal == "30" && build == DeviceBuild::battery)
      starts.push_back({device.id, terminal_names(device).front()});
    if ((terminal == "15" || terminal == "50") && build == DeviceBuild::key_switch)
      starts.push_back({device.id, std::string(terminal)});
    if (terminal == "87" && build == DeviceBuild::relay) {
      const auto next = neighbours.find({device.id, "87"});
      const bool rail =
          next != neighbours.end() && std::ranges::any_of(next->second, [&](const WireEnd& end) {
            return feeds_others(graft, neighbours, end);
          });
      if (rail) starts.push_back({device.id, "87"});
    }
    if (terminal == "58" && device.id == light_switch)
      starts.push_back({device.id, terminal_names(device).back()});
  }
  return starts;
}

Device guessed_device(Graft& graft, const std::string& id, const char* kind, const std::string& name) {
  Device device;
  device.id = free_id(graft, id);
  device.kind = kind;
  device.name = name;
  device.recipe = vehicle_supply;
  device.guessed = true;
  return device;
}

void join(Graft& graft, const std::string& signal, const WireEnd& from, const WireEnd& to, double area_mm2) {
  Wire wire;
  wire.id = free_id(graft, "w_" + to.at);
  wire.signal = signal;
  wire.from = from;
  wire.to = to;
  wire.area = square_millimetres(area_mm2);
  wire.guessed = true;
  graft.wires.push_back(std::move(wire));
}

// Leads and ratings: common practice of vans and cars of 12 V and 24 V, no source.
WireEnd add_battery_rail(Graft& graft, const ForbiddenParts& forbidden) {
  const std::vector<Wire> planned = as_planned(graft).wires;
  std::optional<WireEnd> plus = rail(graft, planned, "30", forbidden);
  const std::string box = place_like(graft, "fuse");
  if (!plus) {
    Device battery = guessed_device(graft, "battery", "battery", "battery");
    battery.place = place_like(graft, "battery");
    const WireEnd minus{battery.id, terminal_names(battery).back()};
    plus = WireEnd{battery.id, terminal_names(battery).front()};
    graft.devices.push_back(battery);
    Device earth = guessed_device(graft, "battery_earth", "earth", "battery earth");
    earth.place = battery.place;
    graft.devices.push_back(earth);
    join(graft, "battery negative", minus, {earth.id, terminal_names(earth).front()}, 25);
  }
  Device link = guessed_device(graft, "fusible_link", "fusible_link", "fusible link of the fuse box");
  link.rating = Amperes{120};
  link.place = place_like(graft, "battery");
  graft.devices.push_back(link);
  join(graft, "battery positive", *plus, {link.id, terminal_names(link).front()}, 35);
  Device bar = guessed_device(graft, "bar_30", "splice", "terminal 30 in the fuse box");
  bar.place = box;
  graft.devices.push_back(bar);
  join(graft, "feed of the fuse box", {link.id, terminal_names(link).back()},
       {bar.id, terminal_names(bar).front()}, 35);
  return {bar.id, terminal_names(bar).front()};
}

WireEnd add_key_rail(Graft& graft, const ForbiddenParts& forbidden) {
  const WireEnd feed = rail_or_usual(graft, "30", forbidden);
  const auto known = std::ranges::find_if(graft.devices, [&](const Device& device) {
    return build_of(device) == DeviceBuild::key_switch && !forbidden.has_device(device.id);
  });
  std::string id = known == graft.devices.end() ? std::string() : known->id;
  if (id.empty()) {
    Device key = guessed_device(graft, "ignition_switch", "key_switch", "ignition switch");
    key.place = place_like(graft, "dash");
    id = key.id;
    graft.devices.push_back(key);
    join(graft, "feed of the ignition switch", feed, {id, "30"}, 6);
  }
  Device bar = guessed_device(graft, "bar_15", "splice", "terminal 15 in the fuse box");
  bar.place = place_like(graft, "fuse");
  graft.devices.push_back(bar);
  join(graft, "switched feed", {id, "15"}, {bar.id, terminal_names(bar).front()}, 6);
  return {bar.id, terminal_names(bar).front()};
}

WireEnd add_light_rail(Graft& graft, const ForbiddenParts& forbidden) {
  const WireEnd feed = rail_or_usual(graft, "30", forbidden);
  Device lights = guessed_device(graft, std::string(light_switch), "switch", "light switch");
  lights.place = place_like(graft, "dash");
  graft.devices.push_back(lights);
  join(graft, "feed of the light switch", feed, {lights.id, terminal_names(lights).front()}, 4);
  return {lights.id, terminal_names(lights).back()};
}

}  // namespace

std::optional<WireEnd> rail(const Graft& graft, const std::vector<Wire>& planned, std::string_view terminal,
                            const ForbiddenParts& forbidden) {
  const EndNeighbours neighbours = end_neighbours(allowed_of(planned, forbidden));
  const auto starts = starts_of(graft, neighbours, terminal, forbidden);
  if (starts.empty()) return std::nullopt;
  return best_of(graft, neighbours, joined_ends(graft.devices, neighbours, starts.front()));
}

WireEnd rail_or_usual(Graft& graft, std::string_view terminal, const ForbiddenParts& forbidden) {
  if (const auto known = rail(graft, as_planned(graft).wires, terminal, forbidden)) {
    const Device* device = find_by_id(graft.devices, known->at);
    const bool bare = device && build_of(*device) != DeviceBuild::splice && device->kind != "fusible_link" &&
                      terminal != "58";
    if (!bare) return *known;
  }
  if (terminal == "30") return add_battery_rail(graft, forbidden);
  if (terminal == "58") return add_light_rail(graft, forbidden);
  if (terminal == "15") return add_key_rail(graft, forbidden);
  return rail_or_usual(graft, "15", forbidden);
}

std::vector<WireEnd> rail_ends(const Graft& graft, const std::vector<Wire>& planned) {
  const EndNeighbours neighbours = end_neighbours(planned);
  std::vector<WireEnd> all;
  for (const char* terminal : {"30", "15", "50", "87", "58"}) {
    for (const WireEnd& start : starts_of(graft, neighbours, terminal, {})) {
      const auto ends = joined_ends(graft.devices, neighbours, start);
      all.insert(all.end(), ends.begin(), ends.end());
    }
  }
  return all;
}

}  // namespace loomgraft::recipes
