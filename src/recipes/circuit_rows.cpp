#include "recipes/circuit_rows.h"

#include <algorithm>
#include <map>
#include <set>

#include "network/joined_ends.h"
#include "recipes/parts_internal.h"
#include "recipes/rails.h"

namespace loomgraft::recipes {
namespace {

struct Walk {
  const Graft& graft;
  const Wire* first = nullptr;
  std::map<WireEnd, std::vector<const Wire*>> at;
  std::set<WireEnd> rails;
  std::set<const Wire*> drawn;
  std::vector<WireEnd> starts;  // terminals whose other wires make rows of their own
  std::vector<CircuitRow> rows;
};

const WireEnd& other_end(const Wire& wire, const WireEnd& end) {
  return wire.from == end ? wire.to : wire.from;
}

bool stops(const Walk& walk, const Device& device, const WireEnd& end) {
  if (walk.rails.contains(end)) return true;
  switch (build_of(device)) {
    case DeviceBuild::battery:
    case DeviceBuild::earth:
    case DeviceBuild::alternator:
    case DeviceBuild::key_switch:
      return true;
    default:
      return false;
  }
}

// The terminal by which a chain leaves: the other contact of a pair. Empty where it ends.
std::string leaving(const Device& device, const std::string& in) {
  static const std::map<std::string, std::string> relay{
      {"85", "86"}, {"86", "85"}, {"30", "87"}, {"87", "30"}, {"87a", "30"}};
  if (build_of(device) == DeviceBuild::relay) {
    const auto found = relay.find(in);
    return found == relay.end() ? std::string() : found->second;
  }
  const auto terminals = terminal_names(device);
  if (terminals.size() == 1) return terminals.front();
  if (in == terminals[0]) return terminals[1];
  return in == terminals[1] ? terminals[0] : std::string();
}

bool is_module_plug(const Graft& graft, const std::string& connector) {
  return std::ranges::any_of(graft.modules, [&](const Module& module) {
    return std::ranges::find(module.connectors, connector) != module.connectors.end();
  });
}

// The other half of a plug in the middle of the loom; empty where there is none.
std::string mate_of(const Graft& graft, const std::string& connector) {
  for (const Connector& one : graft.connectors) {
    if (one.id == connector && !one.mates.empty()) return one.mates;
    if (one.mates == connector) return one.id;
  }
  return {};
}

bool leads_to_pin(const Walk& walk, const Wire& wire, const WireEnd& end) {
  return is_module_plug(walk.graft, other_end(wire, end).at);
}

// The next wire at a terminal; one to a module's pin before others. Where a pin other than the first has been reached from
// here, the rest belongs to other circuits of that pin.
const Wire* free_wire(const Walk& walk, const WireEnd& end) {
  const auto found = walk.at.find(end);
  if (found == walk.at.end()) return nullptr;
  const Wire* next = nullptr;
  for (const Wire* wire : found->second) {
    const bool pin = leads_to_pin(walk, *wire, end);
    if (walk.drawn.contains(wire)) {
      if (pin && wire != walk.first) return nullptr;
    } else if (!next || (pin && !leads_to_pin(walk, *next, end))) {
      next = wire;
    }
  }
  return next;
}

// A terminal that other circuits use too, and that leads straight to a module's pin: the wire to that pin.
const Wire* wire_home(const Walk& walk, const WireEnd& end) {
  const auto found = walk.at.find(end);
  if (found == walk.at.end() || found->second.size() < 2) return nullptr;
  for (const Wire* wire : found->second) {
    if (!walk.drawn.contains(wire) && leads_to_pin(walk, *wire, end)) return wire;
  }
  return nullptr;
}

// Follows one chain from a terminal along a wire; notes terminals of the devices passed that may hold more.
void follow(Walk& walk, CircuitRow& row, WireEnd here, const Wire* wire) {
  while (wire) {
    walk.drawn.insert(wire);
    row.back().wire = wire->id;
    row.back().out = here.cavity;
    const WireEnd there = other_end(*wire, here);
    if (there.at.empty()) {
      row.push_back({RowPartKind::open, "", "", "", ""});
      return;
    }
    const Device* device = find_by_id(walk.graft.devices, there.at);
    if (!device) {
      const std::string mate = mate_of(walk.graft, there.at);
      row.push_back({mate.empty() ? RowPartKind::pin : RowPartKind::plug, there.at, there.cavity, "", ""});
      here = {mate, there.cavity};
      wire = mate.empty() ? nullptr : free_wire(walk, here);
      continue;
    }
    if (const Wire* home =
            wire_home(walk, there)) {  // shared by another circuit: only the way to the pin is ours
      row.push_back({RowPartKind::device, device->id, there.cavity, "", ""});
      here = there;
      wire = home;
      continue;
    }
    const bool feed = walk.rails.contains(there);
    row.push_back({feed ? RowPartKind::feed : RowPartKind::device, device->id, there.cavity, "", ""});
    if (stops(walk, *device, there)) return;
    const bool fuse = build_of(*device) == DeviceBuild::fuse;
    if (!fuse) {
      for (const std::string& terminal : terminal_names(*device))
        walk.starts.push_back({device->id, terminal});
    }
    const std::string out = leaving(*device, there.cavity);
    if (out.empty()) return;
    here = {device->id, out};
    wire = free_wire(walk, here);
  }
}

CircuitRow reversed(CircuitRow row) {
  std::ranges::reverse(row);
  for (RowPart& part : row) std::swap(part.in, part.out);
  for (std::size_t i = 0; i + 1 < row.size(); ++i) row[i].wire = row[i + 1].wire;
  row.back().wire.clear();
  return row;
}

// Two rows that begin at the two ends of one pair of contacts are one row through them, from the feed on.
void join_rows(const Graft& graft, std::vector<CircuitRow>& rows) {
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const Device* device = find_by_id(graft.devices, rows[i].front().id);
    if (!device || terminal_names(*device).size() < 2) continue;
    for (std::size_t j = i + 1; j < rows.size(); ++j) {
      if (rows[j].front().id != device->id || leaving(*device, rows[i].front().out) != rows[j].front().out)
        continue;
      const bool feed_first = rows[j].back().kind != RowPartKind::feed;
      CircuitRow joined = reversed(feed_first ? rows[i] : rows[j]);
      const CircuitRow& rest = feed_first ? rows[j] : rows[i];
      joined.back().out = rest.front().out;
      joined.back().wire = rest.front().wire;
      joined.insert(joined.end(), rest.begin() + 1, rest.end());
      rows[i] = std::move(joined);
      rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(j));
      break;
    }
  }
}

}  // namespace

std::vector<CircuitRow> circuit_rows(const Graft& graft, const std::vector<Wire>& planned,
                                     const std::string& id) {
  Walk walk{graft, nullptr, {}, {}, {}, {}, {}};
  for (const WireEnd& end : rail_ends(graft, planned)) {
    // Of what stands at a rail only joints and sources are the rail; a fuse there belongs to a circuit.
    const Device* device = find_by_id(graft.devices, end.at);
    if (device && build_of(*device) != DeviceBuild::fuse && (build_of(*device) != DeviceBuild::relay) &&
        (build_of(*device) == DeviceBuild::splice || build_of(*device) == DeviceBuild::battery ||
         build_of(*device) == DeviceBuild::key_switch))
      walk.rails.insert(end);
  }
  const Wire* first = nullptr;
  for (const Wire& wire : planned) {
    if (!wire.from.at.empty()) walk.at[wire.from].push_back(&wire);
    if (!wire.to.at.empty()) walk.at[wire.to].push_back(&wire);
    if (wire.id == id) first = &wire;
  }
  if (!first) return {};
  walk.first = first;
  const bool from_pin = find_by_id(graft.connectors, first->from.at) != nullptr;
  const WireEnd start =
      first->from.at.empty() || (!from_pin && !first->to.at.empty()) ? first->to : first->from;
  const bool pin = find_by_id(graft.connectors, start.at) != nullptr;
  CircuitRow row{{pin ? RowPartKind::pin : RowPartKind::device, start.at, start.cavity, "", ""}};
  follow(walk, row, start, first);
  walk.rows.push_back(std::move(row));
  constexpr std::size_t most = 24;  // a circuit with more is no circuit
  for (std::size_t i = 0; i < walk.starts.size() && walk.rows.size() < most; ++i) {
    const WireEnd end = walk.starts[i];
    while (const Wire* wire = free_wire(walk, end)) {
      CircuitRow next{{RowPartKind::device, end.at, "", "", ""}};
      follow(walk, next, end, wire);
      walk.rows.push_back(std::move(next));
      if (walk.rows.size() >= most) break;
    }
  }
  join_rows(graft, walk.rows);
  return walk.rows;
}

}  // namespace loomgraft::recipes
