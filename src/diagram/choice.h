// Which wires a diagram shows, and in which state.
//
// Model   as found, as planned, or both laid over each other: kept, added, retired, moved. A selection
//         reaches from its first wires through joints, mated connectors and devices, and stops at modules,
//         earths and the battery; from a fuse, key switch or relay contact it only goes on towards the
//         battery.
// Gives   wires in natural order of their ids, each id once
// Fails   never: an id that is used twice, a plan step that does not fit, a selection of nothing: a Problem
// Cost    linear in the wires but for sorting
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "diagram/diagram.h"
#include "loom/forbidden.h"
#include "standards/device_kinds.h"

namespace loomgraft::diagram {

enum class WireState { kept, added, retired, moved };

struct ChosenWire {
  Wire wire;  // as planned where it is; a retired one as found
  WireState state = WireState::kept;
  WireEnd old_from;  // as found, of a moved wire
  WireEnd old_to;
  // On which other sheet each end is drawn: from, to, old_from, old_to; 0 is this one.
  std::array<std::size_t, 4> away{};
  const WireEnd& end(std::size_t e) const {
    return e == 0 ? wire.from : e == 1 ? wire.to : e == 2 ? old_from : old_to;
  }
};

// What is drawn as one part: a module, a mated pair or a single connector, a device, or a grommet. `none` is
// an end in the open. Ids are unique within a kind only.
enum class PartKind { none, connector, device, grommet, module };
struct PartKey {
  PartKind kind = PartKind::none;
  std::string id;  // of a mated pair the smaller one
  auto operator<=>(const PartKey&) const = default;
};

// What the ids of a graft's wire ends mean.
class DiagramIndex {
 public:
  explicit DiagramIndex(const Graft& graft);
  const Connector* connector(std::string_view id) const;
  const Device* device(std::string_view id) const;
  const Module* module_of(std::string_view connector) const;   // nullptr: a connector of the loom itself
  const Connector* mate_of(const Connector& connector) const;  // nullptr: none
  const LoomPath* path(std::string_view id) const;
  const Pin* pin(const WireEnd& end) const;
  bool is_forbidden(const WireEnd& end) const { return forbidden_.has(end); }
  DeviceBuild build_of(std::string_view device) const;
  PartKey part_of(const WireEnd& end) const;
  // Openings (paths with a size) that the wire goes through, each once, in the order of its route.
  std::vector<const LoomPath*> openings_on(const Wire& wire) const;

 private:
  std::map<std::string, const Connector*, std::less<>> connectors_;
  std::map<std::string, const Device*, std::less<>> devices_;
  std::map<std::string, const Module*, std::less<>> modules_;  // by connector
  std::map<std::string, const Connector*, std::less<>> mates_;
  std::map<std::string, const LoomPath*, std::less<>> paths_;
  std::map<WireEnd, const Pin*> pins_;
  ForbiddenParts forbidden_;
};

struct Choice {
  std::vector<ChosenWire> wires;
  std::vector<const Module*> modules;     // drawn even where no wire reaches them, with all of their pins
  std::optional<std::set<WireEnd>> pins;  // of those modules only these, where a sheet shows a share of them
  Problems problems;
};

Choice choose_wires(const Graft& graft, const DiagramIndex& index, const DiagramOptions& options);

}  // namespace loomgraft::diagram
