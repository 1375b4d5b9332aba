#include "diagram/parts.h"

#include <algorithm>
#include <set>

#include "diagram/zones.h"
#include "text/natural_order.h"

namespace loomgraft::diagram {
namespace {

PartShape shape_of(const DeviceKind* kind) {
  if (kind == nullptr) return PartShape::box;
  if (kind->symbol == "open_end") return PartShape::open_end;
  switch (kind->build) {
    case DeviceBuild::earth:
      return PartShape::earth;
    case DeviceBuild::splice:
      return PartShape::joint;
    case DeviceBuild::relay:
      return PartShape::relay;
    case DeviceBuild::battery:
    case DeviceBuild::fuse:
    case DeviceBuild::resistor:
    case DeviceBuild::thermistor:
    case DeviceBuild::coil:
    case DeviceBuild::motor:
    case DeviceBuild::lamp:
    case DeviceBuild::led:
    case DeviceBuild::diode:
    case DeviceBuild::contacts:
    case DeviceBuild::pair:
    case DeviceBuild::alternator:
      return PartShape::two_ended;
    default:
      return PartShape::box;
  }
}

Band band_of(const DiagramPart& part) {
  if (part.shape == PartShape::earth) return Band::below;
  if (part.shape == PartShape::grommet) return Band::any;
  if (part.kind == nullptr) return Band::middle;
  switch (part.kind->build) {
    case DeviceBuild::battery:
    case DeviceBuild::alternator:
    case DeviceBuild::fuse:
    case DeviceBuild::key_switch:
      return Band::above;
    default:
      return Band::middle;
  }
}

bool all_joined(const DiagramPart& part) {
  return part.shape == PartShape::joint || part.shape == PartShape::earth ||
         part.shape == PartShape::open_end;
}

}  // namespace

bool is_drawn_bare(const Pin& pin) {
  return pin.populated != false && pin.pin_class != PinClass::no_connection;
}

namespace {

class Finder {
 public:
  Finder(const Graft& graft, const DiagramIndex& index, Choice& choice, bool grommets)
      : graft_(graft), index_(index), choice_(choice), grommets_(grommets) {}

  PartsAndHops find() {
    for (const Module* module : choice_.modules) add_module(*module);
    for (const ChosenWire& wire : choice_.wires) add_ends(wire);
    for (std::size_t p = 0; p < result_.parts.size(); ++p) {
      drop_unused(p);
      sort_terminals(result_.parts[p]);
    }
    choose_main_modules();
    measure_zones();
    for (std::size_t i = 0; i < choice_.wires.size(); ++i) add_wire(i);
    for (std::size_t i = 0; i < choice_.wires.size(); ++i) add_ghosts(i);
    add_bare_pins();
    return std::move(result_);
  }

 private:
  // ---- parts and terminals

  std::size_t part_with(const PartKey& key, const WireEnd& end) {
    const auto [found, is_new] = by_key_.emplace(key, result_.parts.size());
    if (!is_new) return found->second;
    DiagramPart part;
    part.key = key;
    part.id = end.at;
    if (key.kind == PartKind::module) {
      part.shape = PartShape::module;
      part.module = index_.module_of(end.at);
      part.id = part.module->id;
      part.name = part.module->name;
    } else if (key.kind == PartKind::connector) {
      part.left = index_.connector(end.at);
      part.right = index_.mate_of(*part.left);
      part.shape = part.right ? PartShape::mated : PartShape::connector;
      part.name = part.left->name;
    } else {
      fill_device(part, end.at);
    }
    if (part.name.empty()) part.name = part.id;
    part.band = band_of(part);
    result_.parts.push_back(std::move(part));
    return found->second;
  }

  void fill_device(DiagramPart& part, const std::string& id) {
    part.device = index_.device(id);
    part.forbidden = index_.is_forbidden({id, ""});
    if (part.device == nullptr) {
      choice_.problems.push_back(
          {Severity::warning,
           "end-unknown",
           {"", 0, 0, "/wires"},
           "A wire ends at \"" + id + "\", which is neither a connector nor a device of the document.",
           "Add the device, or correct the wire's end."});
      return;
    }
    part.name = part.device->name;
    part.kind = device_kind(part.device->kind);
    part.shape = shape_of(part.kind);
    std::vector<std::string> names = part.device->terminals;
    if (names.empty() && part.kind != nullptr) names = part.kind->terminals;
    if (part.shape == PartShape::two_ended && names.size() > 2) part.shape = PartShape::box;
    if (all_joined(part)) names = {""};
    for (const std::string& name : names) part.terminals.push_back({"", name, nullptr});
  }

  void add_module(const Module& module) {
    if (module.pins.empty() && module.connectors.empty()) return;
    const auto stands_here = [&](const Pin& pin) {
      return !choice_.pins || choice_.pins->contains({pin.at.connector, pin.at.cavity});
    };
    if (choice_.pins && std::none_of(module.pins.begin(), module.pins.end(), stands_here)) return;
    const std::string connector =
        module.pins.empty() ? module.connectors.front() : module.pins.front().at.connector;
    const std::size_t part = part_with({PartKind::module, module.id}, {connector, ""});
    for (const Pin& pin : module.pins) {
      if (!is_drawn_bare(pin) || !stands_here(pin)) continue;
      terminal_of(part, {pin.at.connector, pin.at.cavity});
    }
  }

  // The terminal of the part at that end; a new one where the part has none of the name.
  std::size_t terminal_of(std::size_t part_index, const WireEnd& end) {
    DiagramPart& part = result_.parts[part_index];
    const bool by_connector = part.module != nullptr;
    const std::string name = all_joined(part) ? "" : end.cavity;
    for (std::size_t i = 0; i < part.terminals.size(); ++i) {
      if (part.terminals[i].name == name && (!by_connector || part.terminals[i].connector == end.at))
        return i;
    }
    part.terminals.push_back(
        {part.device == nullptr ? end.at : "", name, index_.pin(end), index_.is_forbidden(end)});
    if (part.device != nullptr && part.shape == PartShape::two_ended && part.terminals.size() > 2)
      part.shape = PartShape::box;
    return part.terminals.size() - 1;
  }

  void add_end(const WireEnd& end) {
    const PartKey key = index_.part_of(end);
    if (key.kind == PartKind::none) return;
    const std::size_t part = part_with(key, end);
    used_.emplace(part, result_.parts[part].terminals[terminal_of(part, end)].name);
  }

  // Of boxes and change-over contacts only what a wire reaches; a coil without its second wire shows that it
  // lacks one.
  void drop_unused(std::size_t p) {
    DiagramPart& part = result_.parts[p];
    const bool box = part.shape == PartShape::box &&
                     (part.kind == nullptr || part.kind->build != DeviceBuild::potentiometer);
    if (part.device == nullptr || (!box && part.shape != PartShape::relay)) return;
    std::erase_if(part.terminals, [&](const PartTerminal& t) {
      return (box || t.name == "87a") && !used_.contains({p, t.name});
    });
  }

  void add_ends(const ChosenWire& chosen) {
    for (std::size_t e = 0; e < chosen.away.size(); ++e) {
      if (chosen.away[e] == 0) add_end(chosen.end(e));
    }
  }

  void sort_terminals(DiagramPart& part) const {
    if (part.device != nullptr || (part.module == nullptr && part.left == nullptr)) return;
    const auto rank = [&](const std::string& connector) {
      if (part.module == nullptr) return std::ptrdiff_t{0};
      const auto& list = part.module->connectors;
      return std::find(list.begin(), list.end(), connector) - list.begin();
    };
    std::stable_sort(part.terminals.begin(), part.terminals.end(),
                     [&](const PartTerminal& a, const PartTerminal& b) {
                       if (rank(a.connector) != rank(b.connector))
                         return rank(a.connector) < rank(b.connector);
                       if (part.module != nullptr && a.connector != b.connector)
                         return a.connector < b.connector;
                       return natural_compare(a.name, b.name) < 0;
                     });
  }

  // ---- zones

  void choose_main_modules() {
    const auto mark = [&](auto&& is_main) {
      bool any = false;
      for (DiagramPart& part : result_.parts) {
        part.main = part.module != nullptr && is_main(*part.module);
        any = any || part.main;
      }
      return any;
    };
    const std::vector<const Module*>& asked = choice_.modules;
    if (!asked.empty() &&
        mark([&](const Module& m) { return std::find(asked.begin(), asked.end(), &m) != asked.end(); }))
      return;
    if (mark([](const Module& m) { return m.role != ModuleRole::other; })) return;
    mark([](const Module&) { return true; });
  }

  std::size_t part_at(const WireEnd& end) const {
    const auto found = by_key_.find(index_.part_of(end));
    return found == by_key_.end() ? nothing : found->second;
  }

  void measure_zones() {
    std::vector<ZonePart> parts;
    for (const DiagramPart& part : result_.parts)
      parts.push_back({part.device ? part.device->place : "", part.main});
    std::vector<ZoneWire> wires;
    for (const ChosenWire& chosen : choice_.wires) {
      const std::size_t a = chosen.away[0] == 0 ? part_at(chosen.wire.from) : nothing;
      const std::size_t b = chosen.away[1] == 0 ? part_at(chosen.wire.to) : nothing;
      if (a != nothing && b != nothing) wires.push_back({a, b, &chosen.wire});
    }
    zones_ = find_zones(graft_, parts, wires);
    for (std::size_t i = 0; i < result_.parts.size(); ++i)
      result_.parts[i].zone = grommets_ ? zones_.parts[i] : 0;
  }

  // ---- hops

  HopEnd hop_end(const WireEnd& end) {
    HopEnd result;
    const PartKey key = index_.part_of(end);
    if (key.kind == PartKind::none) return result;
    result.part = part_with(key, end);
    result.terminal = terminal_of(result.part, end);
    const DiagramPart& part = result_.parts[result.part];
    if (part.shape == PartShape::mated) result.right = part.right->id == end.at;
    return result;
  }

  // The grommet's part. Where the places do not give its zone, the first wire through it does.
  std::size_t grommet(const LoomPath& path, std::size_t zone) {
    const auto [found, is_new] = by_key_.emplace(PartKey{PartKind::grommet, path.id}, result_.parts.size());
    if (is_new) {
      const std::size_t known = zones_.paths[static_cast<std::size_t>(&path - graft_.paths.data())];
      DiagramPart part;
      part.key = found->first;
      part.shape = PartShape::grommet;
      part.id = path.id;
      part.name = path.id;
      part.path = &path;
      part.zone = known == unknown_zone ? zone : known;
      part.band = band_of(part);
      result_.parts.push_back(std::move(part));
    }
    return found->second;
  }

  void add_wire(std::size_t index) {
    const ChosenWire& chosen = choice_.wires[index];
    const Wire& wire = chosen.wire;
    const HopEnd from = chosen.away[0] == 0 ? hop_end(wire.from) : HopEnd{};
    const HopEnd to = chosen.away[1] == 0 ? hop_end(wire.to) : HopEnd{};
    if (from.part == nothing || to.part == nothing) {
      if (from.part != nothing) result_.hops.push_back({index, from, to, false});
      if (to.part != nothing) result_.hops.push_back({index, to, from, false});
      return;
    }
    std::vector<const LoomPath*> paths;
    if (grommets_) paths = index_.openings_on(wire);
    if (!paths.empty() && goes_backwards(paths, from, to)) std::reverse(paths.begin(), paths.end());
    const std::size_t goal = result_.parts[to.part].zone;
    std::size_t zone = result_.parts[from.part].zone;
    HopEnd last = from;
    for (const LoomPath* path : paths) {
      const bool may_go_out = zone < goal || zone == 0;
      const std::size_t part = grommet(*path, may_go_out ? zone : zone - 1);
      const bool outwards = result_.parts[part].zone == zone;
      if (!outwards && result_.parts[part].zone + 1 != zone) continue;  // not from here
      std::vector<PartTerminal>& terminals = result_.parts[part].terminals;
      terminals.push_back({"", wire.id, nullptr});
      result_.hops.push_back({index, last, {part, terminals.size() - 1, !outwards}, false});
      last = {part, terminals.size() - 1, outwards};
      zone = outwards ? zone + 1 : zone - 1;
    }
    result_.hops.push_back({index, last, to, false});
  }

  // A wire's paths may be listed from either end.
  bool goes_backwards(const std::vector<const LoomPath*>& paths, const HopEnd& from, const HopEnd& to) const {
    const auto at_zone = [&](const LoomPath* path, const HopEnd& end) {
      const std::size_t known = zones_.paths[static_cast<std::size_t>(path - graft_.paths.data())];
      const std::size_t zone = result_.parts[end.part].zone;
      return known == unknown_zone || known == zone || known + 1 == zone;
    };
    const auto fits = [&](const LoomPath* first, const LoomPath* last) {
      return (at_zone(first, from) ? 1 : 0) + (at_zone(last, to) ? 1 : 0) + (touches(first, from) ? 1 : 0) +
             (touches(last, to) ? 1 : 0);
    };
    return fits(paths.back(), paths.front()) > fits(paths.front(), paths.back());
  }

  bool touches(const LoomPath* path, const HopEnd& end) const {
    const Device* device = result_.parts[end.part].device;
    return device != nullptr && (device->place == path->from || device->place == path->to);
  }

  void add_ghosts(std::size_t index) {
    const ChosenWire& chosen = choice_.wires[index];
    if (chosen.state != WireState::moved) return;
    const auto leave = [&](const WireEnd& old, const WireEnd& now) {
      if (old == now || old.at.empty()) return;
      const HopEnd end = hop_end(old);
      if (end.part != nothing) result_.hops.push_back({index, end, {}, true});
    };
    if (chosen.away[2] == 0) leave(chosen.old_from, chosen.wire.from);
    if (chosen.away[3] == 0) leave(chosen.old_to, chosen.wire.to);
  }

  // A pin that no wire of the document reaches is drawn with its far end as text.
  void add_bare_pins() {
    std::set<std::pair<std::size_t, std::size_t>> wired;
    for (const Hop& hop : result_.hops) {
      wired.emplace(hop.from.part, hop.from.terminal);
      wired.emplace(hop.to.part, hop.to.terminal);
    }
    for (std::size_t p = 0; p < result_.parts.size(); ++p) {
      if (result_.parts[p].module == nullptr) continue;
      for (std::size_t t = 0; t < result_.parts[p].terminals.size(); ++t) {
        if (!wired.contains({p, t})) result_.hops.push_back({nothing, {p, t, std::nullopt}, {}, false});
      }
    }
  }

  const Graft& graft_;
  const DiagramIndex& index_;
  Choice& choice_;
  bool grommets_;
  Zones zones_;
  PartsAndHops result_;
  std::map<PartKey, std::size_t> by_key_;
  std::set<std::pair<std::size_t, std::string>> used_;  // terminals that wires name
};

}  // namespace

PartsAndHops find_parts(const Graft& graft, const DiagramIndex& index, Choice& choice, bool grommets) {
  return Finder(graft, index, choice, grommets).find();
}

}  // namespace loomgraft::diagram
