#include <algorithm>

#include "loom/plan.h"
#include "network/fault_scope_internal.h"

namespace loomgraft {
namespace {

std::set<std::string> altered_wires(const Graft& graft) {
  std::set<std::string> altered;
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::add && step.added) altered.insert(step.added->id);
    if (step.action == PlanAction::move) altered.insert(step.wire);
  }
  return altered;
}

bool is_forbidden_end(const Graft& graft, const WireEnd& end) {
  for (const Device& device : graft.devices) {
    if (device.id == end.at && device.forbidden) return true;
  }
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (pin.forbidden && pin.at.connector == end.at && pin.at.cavity == end.cavity) return true;
    }
  }
  return false;
}

// What an altered wire shares a joint, fuse, contact or device with carries the same current or signal.
bool touches(const Wire& wire, const std::set<std::string>& devices) {
  return devices.contains(wire.from.at) || devices.contains(wire.to.at);
}

}  // namespace

const DeviceKind* kind_of(const Device& device) {
  return device_kind(device.kind);
}

const Device* device_of(const FaultScope& scope, const std::string& id) {
  const auto found = std::ranges::find(scope.graft.devices, id, &Device::id);
  return found == scope.graft.devices.end() ? nullptr : &*found;
}

bool is_connector(const FaultScope& scope, const std::string& id) {
  return find_connector(scope.graft, id) != nullptr;
}

std::string device_words(const Device& device) {
  return device.name.empty() ? device.id : device.name;
}

std::string end_words(const FaultScope& scope, const WireEnd& end) {
  if (const Connector* connector = find_connector(scope.graft, end.at))
    return (connector->name.empty() ? connector->id : connector->name) + " " + end.cavity;
  const Device* device = device_of(scope, end.at);
  const DeviceKind* kind = device ? kind_of(*device) : nullptr;
  const bool single = kind && kind->terminals.size() == 1;
  return (device ? device_words(*device) : end.at) + (single || end.cavity.empty() ? "" : " " + end.cavity);
}

FaultScope fault_scope(const Graft& graft, bool whole_loom) {
  FaultScope scope{graft};
  scope.planned = as_planned(graft).wires;
  std::erase_if(scope.planned, [&](const Wire& wire) {
    return is_forbidden_end(graft, wire.from) || is_forbidden_end(graft, wire.to);
  });
  scope.altered = altered_wires(graft);
  if (scope.altered.empty()) whole_loom = true;
  std::set<std::string> met;
  for (const Wire& wire : scope.planned) {
    scope.at.try_emplace(wire.from, &wire);
    scope.at.try_emplace(wire.to, &wire);
    if (!scope.altered.contains(wire.id)) continue;
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const Device* device = device_of(scope, end->at);
      const DeviceKind* kind = device ? kind_of(*device) : nullptr;
      if (kind && kind->build != DeviceBuild::battery && kind->build != DeviceBuild::earth)
        met.insert(end->at);
    }
  }
  std::set<std::string> devices;
  for (const Wire& wire : scope.planned) {
    if (!whole_loom && !scope.altered.contains(wire.id) && !touches(wire, met)) continue;
    scope.wires.push_back(wire);
    devices.insert(wire.from.at);
    devices.insert(wire.to.at);
  }
  for (const Device& device : graft.devices) {
    if (devices.contains(device.id) && !device.forbidden) scope.devices.push_back(&device);
  }
  return scope;
}

}  // namespace loomgraft
