#include "diagram/zones.h"

#include <algorithm>
#include <deque>
#include <map>

namespace loomgraft::diagram {
namespace {

constexpr std::size_t most_zones = 5;

struct Near {
  std::size_t other;
  std::size_t grommets;
};

// Fewest grommets from the nodes that have a number already (0-1 breadth first, with larger steps allowed).
void spread(const std::vector<std::vector<Near>>& near, std::vector<std::size_t>& zone) {
  std::deque<std::size_t> waiting;
  for (std::size_t i = 0; i < zone.size(); ++i) {
    if (zone[i] != unknown_zone) waiting.push_back(i);
  }
  while (!waiting.empty()) {
    const std::size_t node = waiting.front();
    waiting.pop_front();
    for (const auto& [other, grommets] : near[node]) {
      if (zone[node] + grommets >= zone[other]) continue;
      zone[other] = zone[node] + grommets;
      waiting.push_back(other);
    }
  }
}

class PlaceMap {
 public:
  explicit PlaceMap(const Graft& graft) : graft_(graft) {
    for (std::size_t i = 0; i < graft.paths.size(); ++i) {
      const LoomPath& path = graft.paths[i];
      by_id_.emplace(path.id, i);
      const std::size_t a = place(path.from);
      const std::size_t b = place(path.to);
      const std::size_t grommets = path.opening ? 1 : 0;
      near_[a].push_back({b, grommets});
      near_[b].push_back({a, grommets});
    }
  }

  // Where a wire comes from that ends at `end`, or nothing where its paths do not hang together.
  std::string start_of(const Wire& wire, const std::string& end) const {
    std::vector<const LoomPath*> paths;
    for (const std::string& id : wire.along) {
      const auto found = by_id_.find(id);
      if (found == by_id_.end()) return {};
      paths.push_back(&graft_.paths[found->second]);
    }
    for (int way = 0; way < 2; ++way) {
      std::string at = end;
      for (const LoomPath* path : paths) {
        if (at != path->from && at != path->to) {
          at.clear();
          break;
        }
        at = at == path->from ? path->to : path->from;
      }
      if (!at.empty()) return at;
      std::reverse(paths.begin(), paths.end());
    }
    return {};
  }

  void measure_from(const std::string& start) {
    zone_.assign(near_.size(), unknown_zone);
    if (start.empty()) return;
    zone_[place(start)] = 0;
    spread(near_, zone_);
  }

  std::size_t zone(const std::string& id) const {
    const auto found = places_.find(id);
    return found == places_.end() || zone_.empty() ? unknown_zone : zone_[found->second];
  }

 private:
  std::size_t place(const std::string& id) {
    const auto [found, is_new] = places_.emplace(id, near_.size());
    if (is_new) near_.emplace_back();
    if (is_new && !zone_.empty()) zone_.push_back(unknown_zone);
    return found->second;
  }

  const Graft& graft_;
  std::map<std::string, std::size_t> by_id_;
  std::map<std::string, std::size_t> places_;
  std::vector<std::vector<Near>> near_;
  std::vector<std::size_t> zone_;
};

std::string place_of_modules(const PlaceMap& map, const std::vector<ZonePart>& parts,
                             const std::vector<ZoneWire>& wires) {
  std::map<std::string, std::size_t> votes;
  for (const ZoneWire& w : wires) {
    if (parts[w.a].module == parts[w.b].module) continue;
    const std::string& end = parts[w.a].module ? parts[w.b].place : parts[w.a].place;
    if (end.empty() || w.wire->along.empty()) continue;
    const std::string start = map.start_of(*w.wire, end);
    if (!start.empty()) ++votes[start];
  }
  std::string best;
  for (const auto& [place, count] : votes) {
    if (best.empty() || count > votes[best]) best = place;
  }
  return best;
}

std::size_t grommets_on(const Graft& graft, const Wire& wire) {
  std::size_t count = 0;
  for (const LoomPath& path : graft.paths) {
    const bool on = std::find(wire.along.begin(), wire.along.end(), path.id) != wire.along.end();
    if (on && path.opening) ++count;
  }
  return count;
}

}  // namespace

Zones find_zones(const Graft& graft, const std::vector<ZonePart>& parts, const std::vector<ZoneWire>& wires) {
  PlaceMap map(graft);
  map.measure_from(place_of_modules(map, parts, wires));
  Zones zones;
  for (const ZonePart& part : parts) zones.parts.push_back(part.module ? 0 : map.zone(part.place));
  for (const LoomPath& path : graft.paths)
    zones.paths.push_back(std::min(map.zone(path.from), map.zone(path.to)));
  std::vector<std::vector<Near>> near(parts.size());
  const std::vector<std::size_t> placed = zones.parts;
  for (const ZoneWire& w : wires) {
    const std::size_t grommets = grommets_on(graft, *w.wire);
    // A place that is known is not moved by a wire whose way is not.
    if (placed[w.b] == unknown_zone) near[w.a].push_back({w.b, grommets});
    if (placed[w.a] == unknown_zone) near[w.b].push_back({w.a, grommets});
  }
  spread(near, zones.parts);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (zones.parts[i] == unknown_zone) {
      zones.parts[i] = 0;
      spread(near, zones.parts);
    }
  }
  for (std::size_t& zone : zones.parts) zone = std::min(zone, most_zones);
  return zones;
}

}  // namespace loomgraft::diagram
