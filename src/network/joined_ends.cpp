#include "network/joined_ends.h"

#include <algorithm>
#include <set>

#include "standards/device_kinds.h"

namespace loomgraft {

EndNeighbours end_neighbours(const std::vector<Wire>& wires) {
  EndNeighbours neighbours;
  for (const Wire& wire : wires) {
    if (wire.from.at.empty() || wire.to.at.empty()) continue;
    neighbours[wire.from].push_back(wire.to);
    neighbours[wire.to].push_back(wire.from);
  }
  return neighbours;
}

std::vector<std::string> terminal_names(const Device& device) {
  if (!device.terminals.empty()) return device.terminals;
  const DeviceKind* kind = device_kind(device.kind);
  return kind && !kind->terminals.empty() ? kind->terminals : std::vector<std::string>{"1"};
}

bool carries_rail(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return (kind && kind->build == DeviceBuild::splice) || device.kind == "fusible_link";
}

std::vector<WireEnd> joined_ends(const std::vector<Device>& devices, const EndNeighbours& neighbours,
                                 const WireEnd& start) {
  std::vector<WireEnd> found{start};
  std::set<WireEnd> seen{start};
  const auto take = [&](const WireEnd& end) {
    if (seen.insert(end).second) found.push_back(end);
  };
  for (std::size_t i = 0; i < found.size(); ++i) {
    const WireEnd here = found[i];
    const auto device = std::ranges::find(devices, here.at, &Device::id);
    const bool goes_on = device != devices.end() && carries_rail(*device);
    if (goes_on) {
      for (const std::string& terminal : terminal_names(*device)) take({device->id, terminal});
    }
    const auto next = neighbours.find(here);
    if ((i > 0 && !goes_on) || next == neighbours.end()) continue;
    for (const WireEnd& end : next->second) take(end);
  }
  return found;
}

}  // namespace loomgraft
