#include <algorithm>

#include "diagram/choice.h"

namespace loomgraft::diagram {
namespace {

template <class Map>
auto value_or_null(const Map& map, std::string_view id) -> typename Map::mapped_type {
  const auto found = map.find(id);
  return found == map.end() ? nullptr : found->second;
}

}  // namespace

DiagramIndex::DiagramIndex(const Graft& graft) : forbidden_(forbidden_parts(graft)) {
  for (const Connector& c : graft.connectors) connectors_.emplace(c.id, &c);
  for (const Device& d : graft.devices) devices_.emplace(d.id, &d);
  for (const LoomPath& p : graft.paths) paths_.emplace(p.id, &p);
  for (const Module& m : graft.modules) {
    for (const std::string& id : m.connectors) modules_.emplace(id, &m);
    for (const Pin& pin : m.pins) {
      modules_.emplace(pin.at.connector, &m);
      pins_.emplace(WireEnd{pin.at.connector, pin.at.cavity}, &pin);
    }
  }
  for (const Connector& c : graft.connectors) {
    const Connector* mate = connector(c.mates);
    if (mate == nullptr || mate == &c || modules_.contains(c.id) || modules_.contains(mate->id)) continue;
    if (mates_.contains(c.id) || mates_.contains(mate->id)) continue;  // a connector has one mate
    mates_.emplace(c.id, mate);
    mates_.emplace(mate->id, &c);
  }
}

const Connector* DiagramIndex::connector(std::string_view id) const {
  return id.empty() ? nullptr : value_or_null(connectors_, id);
}
const Device* DiagramIndex::device(std::string_view id) const {
  return id.empty() ? nullptr : value_or_null(devices_, id);
}
const Module* DiagramIndex::module_of(std::string_view connector) const {
  return value_or_null(modules_, connector);
}
const Connector* DiagramIndex::mate_of(const Connector& connector) const {
  return value_or_null(mates_, connector.id);
}
const LoomPath* DiagramIndex::path(std::string_view id) const {
  return value_or_null(paths_, id);
}
const Pin* DiagramIndex::pin(const WireEnd& end) const {
  const auto found = pins_.find(end);
  return found == pins_.end() ? nullptr : found->second;
}

DeviceBuild DiagramIndex::build_of(std::string_view id) const {
  const Device* found = device(id);
  const DeviceKind* kind = found == nullptr ? nullptr : device_kind(found->kind);
  return kind == nullptr ? DeviceBuild::unknown : kind->build;
}

PartKey DiagramIndex::part_of(const WireEnd& end) const {
  if (end.at.empty()) return {};
  if (const Module* module = module_of(end.at)) return {PartKind::module, module->id};
  if (const Connector* own = connector(end.at)) {
    const Connector* mate = mate_of(*own);
    return {PartKind::connector, mate == nullptr ? own->id : std::min(own->id, mate->id)};
  }
  return {PartKind::device, end.at};
}

std::vector<const LoomPath*> DiagramIndex::openings_on(const Wire& wire) const {
  std::vector<const LoomPath*> openings;
  for (const std::string& id : wire.along) {
    const LoomPath* found = path(id);
    const bool listed = std::find(openings.begin(), openings.end(), found) != openings.end();
    if (found != nullptr && found->opening && !listed) openings.push_back(found);
  }
  return openings;
}

}  // namespace loomgraft::diagram
