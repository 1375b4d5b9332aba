#include "loom/routes.h"

#include <algorithm>
#include <map>
#include <queue>

namespace loomgraft {
namespace {

struct Step {
  std::string place;
  std::string path;
  double metres = 0.0;
};

using Ways = std::map<std::string, std::vector<Step>>;  // by place

Ways ways_of(const Graft& graft) {
  Ways ways;
  for (const LoomPath& path : graft.paths) {
    if (!path.length || path.from.empty() || path.to.empty() || !(path.length->si > 0)) continue;
    ways[path.from].push_back({path.to, path.id, path.length->si});
    ways[path.to].push_back({path.from, path.id, path.length->si});
  }
  return ways;
}

// The paths from one place to every other that can be reached, by place.
std::map<std::string, std::vector<std::string>> shortest_from(const Ways& ways, const std::string& start) {
  using Waiting = std::pair<double, std::string>;
  std::map<std::string, double> best{{start, 0.0}};
  std::map<std::string, std::vector<std::string>> along{{start, {}}};
  std::priority_queue<Waiting, std::vector<Waiting>, std::greater<>> waiting;
  waiting.push({0.0, start});
  while (!waiting.empty()) {
    const auto [metres, place] = waiting.top();
    waiting.pop();
    const auto next = ways.find(place);
    if (metres > best.at(place) || next == ways.end()) continue;
    for (const Step& step : next->second) {
      const double further = metres + step.metres;
      const auto known = best.find(step.place);
      if (known != best.end() && known->second <= further) continue;
      best[step.place] = further;
      along[step.place] = along.at(place);
      along[step.place].push_back(step.path);
      waiting.push({further, step.place});
    }
  }
  return along;
}

std::map<std::string, std::string> places_of(const Graft& graft) {
  std::map<std::string, std::string> places;
  for (const Device& device : graft.devices) places.emplace(device.id, device.place);
  for (const Connector& connector : graft.connectors) places.emplace(connector.id, connector.place);
  return places;
}

}  // namespace

std::optional<RouteLength> route_length(const std::vector<LoomPath>& paths,
                                        const std::vector<std::string>& along) {
  if (along.empty()) return std::nullopt;
  RouteLength sum;
  for (const std::string& id : along) {
    const auto path = std::ranges::find(paths, id, &LoomPath::id);
    if (path == paths.end() || !path->length || !(path->length->si > 0)) return std::nullopt;
    sum.typical.si += path->length->si;
    sum.shortest.si += path->shortest.value_or(*path->length).si;
    sum.longest.si += path->longest.value_or(*path->length).si;
    sum.guessed = sum.guessed || path->shortest || path->longest;
  }
  return sum;
}

std::string place_at(const Graft& graft, const std::string& id) {
  const auto device = std::ranges::find(graft.devices, id, &Device::id);
  if (device != graft.devices.end()) return device->place;
  const Connector* connector = find_connector(graft, id);
  return connector ? connector->place : std::string();
}

void follow_shortest_ways(const Graft& graft, std::vector<Wire>& wires) {
  if (graft.paths.empty()) return;
  const Ways ways = ways_of(graft);
  const auto places = places_of(graft);
  std::map<std::string, std::map<std::string, std::vector<std::string>>> from;
  const auto place_at = [&](const WireEnd& end) {
    const auto found = places.find(end.at);
    return found == places.end() ? std::string() : found->second;
  };
  for (Wire& wire : wires) {
    if (wire.length || !wire.along.empty()) continue;
    const std::string a = place_at(wire.from), b = place_at(wire.to);
    if (a.empty() || b.empty() || a == b) continue;
    auto known = from.find(a);
    if (known == from.end()) known = from.emplace(a, shortest_from(ways, a)).first;
    const auto way = known->second.find(b);
    if (way != known->second.end()) wire.along = way->second;
  }
}

}  // namespace loomgraft
