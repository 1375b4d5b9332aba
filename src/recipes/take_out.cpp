// Takes out of a wire what was put into it, so that the wire is whole again.
#include <algorithm>
#include <set>

#include "loom/plan.h"
#include "recipes/parts_internal.h"
#include "recipes/rails.h"
#include "recipes/wire_edits.h"

namespace loomgraft::recipes {
namespace {

// A plug as the card puts it into a wire: two halves of one cavity that the program laid out.
bool is_half(const Connector& connector) {
  return connector.rows_guessed && connector.rows.size() == 1 && connector.rows[0].cavities.size() == 1;
}

const Connector* mate_of(const Graft& graft, const Connector& half) {
  const auto mates = [&](const Connector& other) { return other.id == half.mates || other.mates == half.id; };
  const auto found = std::ranges::find_if(graft.connectors, mates);
  return found != graft.connectors.end() && is_half(half) && is_half(*found) ? &*found : nullptr;
}

// A part in a wire: the parts that go, and the end at which the rest of the wire begins.
struct Insert {
  std::set<std::string> parts;
  WireEnd rest;
};

std::optional<Insert> insert_at(const Graft& graft, const WireEnd& end) {
  if (const Connector* half = find_by_id(graft.connectors, end.at)) {
    const Connector* mate = mate_of(graft, *half);
    if (!mate) return std::nullopt;
    return Insert{{half->id, mate->id}, {mate->id, mate->rows[0].cavities[0]}};
  }
  const Device* device = find_by_id(graft.devices, end.at);
  if (!device || device->recipe != inserted) return std::nullopt;
  const auto terminals = terminal_names(*device);
  if (build_of(*device) == DeviceBuild::relay) return Insert{{device->id}, {device->id, "87"}};
  if (build_of(*device) == DeviceBuild::earth) return std::nullopt;
  return Insert{{device->id}, {device->id, terminals.size() > 1 ? terminals[1] : terminals.front()}};
}

// The wire that the insertion made of the other half: by its id, which names the part.
const Wire* rest_of(const std::vector<Wire>& planned, const Insert& insert, const std::string& wire) {
  const auto is_rest = [&](const Wire& other) {
    return other.id != wire && other.from == insert.rest &&
           (other.id.starts_with("new_" + insert.rest.at) || other.id.starts_with("w_" + insert.rest.at));
  };
  const auto found = std::ranges::find_if(planned, is_rest);
  return found == planned.end() ? nullptr : &*found;
}

void erase_wires(Graft& graft, const auto& goes) {
  std::erase_if(graft.plan, [&](const PlanStep& step) { return step.added && goes(*step.added); });
  std::erase_if(graft.wires, goes);
}

bool ends_in(const std::set<std::string>& parts, const Wire& wire) {
  return parts.contains(wire.from.at) || parts.contains(wire.to.at);
}

std::ptrdiff_t wires_at(const std::vector<Wire>& planned, const std::set<std::string>& parts) {
  return std::ranges::count_if(planned, [&](const Wire& wire) { return ends_in(parts, wire); });
}

// What was brought along with a relay, its fuse and earth, unless another circuit has come to use it.
std::set<std::string> companions(const Graft& graft, const std::set<std::string>& parts) {
  std::set<std::string> with;
  const std::vector<Wire> planned = as_planned(graft).wires;
  for (const Wire& wire : planned) {
    if (!ends_in(parts, wire)) continue;
    for (const std::string& id : {wire.from.at, wire.to.at}) {
      const Device* device = find_by_id(graft.devices, id);
      if (!device || device->recipe != inserted || parts.contains(id)) continue;
      const std::ptrdiff_t own = build_of(*device) == DeviceBuild::fuse ? 2 : 1;
      if (wires_at(planned, {id}) <= own) with.insert(id);
    }
  }
  return with;
}

// A joint that further wires have come to stays.
bool serves_this_wire_alone(const Graft& graft, const std::vector<Wire>& planned, const Insert& insert) {
  const Device* device = find_by_id(graft.devices, insert.rest.at);
  return (device && build_of(*device) == DeviceBuild::relay) || wires_at(planned, insert.parts) == 2;
}

// Put in while the wire was a guess, or by the plan.
bool stands_in_the_wire(const Graft& graft, const std::string& wire, const std::set<std::string>& parts) {
  const Wire* known = find_by_id(graft.wires, wire);
  return known && ends_in(parts, *known);
}

// Such a wire was made with the part: what feeds a relay, the rest behind a fuse.
bool came_with_the_part(const Graft& graft, const std::vector<Wire>& planned, const WireEnd& at,
                        const WireEnd& other) {
  const Device* from = find_by_id(graft.devices, other.at);
  if (from && from->recipe == inserted) return true;
  const Device* part = find_by_id(graft.devices, at.at);
  if (!part || part->recipe != inserted) return false;
  const auto rails = rail_ends(graft, planned);
  return std::ranges::find(rails, other) != rails.end();
}

bool take_one_out(Graft& graft, const std::string& id) {
  const std::vector<Wire> planned = as_planned(graft).wires;
  const Wire* wire = find_by_id(planned, id);
  if (!wire) return false;
  for (const WireEnd* end : {&wire->to, &wire->from}) {
    if (came_with_the_part(graft, planned, *end, end == &wire->to ? wire->from : wire->to)) continue;
    const auto insert = insert_at(graft, *end);
    const Wire* rest = insert ? rest_of(planned, *insert, id) : nullptr;
    if (!rest || !serves_this_wire_alone(graft, planned, *insert)) continue;
    Wire turned = *wire;
    if (end == &wire->from) std::swap(turned.from, turned.to);
    const WireEnd far = rest->to;
    erase_wires(graft, [&](const Wire& other) { return other.id == rest->id; });
    lead_to(graft, turned, far, stands_in_the_wire(graft, id, insert->parts));
    std::set<std::string> parts = insert->parts;
    parts.merge(companions(graft, insert->parts));
    erase_wires(graft, [&](const Wire& other) { return ends_in(parts, other); });
    std::erase_if(graft.devices, [&](const Device& device) { return parts.contains(device.id); });
    std::erase_if(graft.connectors, [&](const Connector& half) { return parts.contains(half.id); });
    return true;
  }
  return false;
}

}  // namespace

bool take_out_inserted(Graft& graft, const std::string& wire) {
  bool any = false;
  while (take_one_out(graft, wire)) any = true;
  return any;
}

}  // namespace loomgraft::recipes
