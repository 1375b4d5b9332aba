// Which part of the planned loom faults are looked for in, and the names of what stands in it.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "loom/graft.h"
#include "standards/device_kinds.h"

namespace loomgraft {

struct FaultScope {
  const Graft& graft;
  std::vector<Wire> wires{};             // of the planned loom that count, by id
  std::set<std::string> altered{};       // ids of those the plan adds or moves
  std::map<WireEnd, const Wire*> at{};   // the first wire of every planned cavity, in the scope or not
  std::vector<const Device*> devices{};  // that those wires end at
  std::vector<Wire> planned{};           // all of them
  std::map<std::string, const Device*> device_by_id{};
  std::map<std::string, const Connector*> connector_by_id{};
  std::set<WireEnd> forbidden{};  // cavities, and devices with an empty terminal
};

FaultScope fault_scope(const Graft& graft, bool whole_loom);

// Part of a restraint or high-voltage circuit.
bool is_forbidden(const FaultScope& scope, const WireEnd& end);

const DeviceKind* kind_of(const Device& device);
const Device* device_of(const FaultScope& scope, const std::string& id);
// "C1 14", "PTO valve 1"
std::string end_words(const FaultScope& scope, const WireEnd& end);
std::string device_words(const Device& device);

}  // namespace loomgraft
