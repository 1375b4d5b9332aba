#include <algorithm>

#include "loom/plan.h"
#include "network/fault_scope.h"

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

std::set<WireEnd> forbidden_ends(const Graft& graft) {
  std::set<WireEnd> ends;
  for (const Device& device : graft.devices) {
    if (device.forbidden) ends.insert({device.id, ""});
  }
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (pin.forbidden) ends.insert({pin.at.connector, pin.at.cavity});
    }
  }
  return ends;
}

// What an altered wire shares a joint, fuse, contact or device with carries the same current or signal.
bool touches(const Wire& wire, const std::set<std::string>& devices) {
  return devices.contains(wire.from.at) || devices.contains(wire.to.at);
}

}  // namespace

bool is_forbidden(const FaultScope& scope, const WireEnd& end) {
  return scope.forbidden.contains(end) || scope.forbidden.contains({end.at, ""});
}

const DeviceKind* kind_of(const Device& device) {
  return device_kind(device.kind);
}

const Device* device_of(const FaultScope& scope, const std::string& id) {
  const auto found = scope.device_by_id.find(id);
  return found == scope.device_by_id.end() ? nullptr : found->second;
}

std::string device_words(const Device& device) {
  return device.name.empty() ? device.id : device.name;
}

std::string end_words(const FaultScope& scope, const WireEnd& end) {
  if (const auto found = scope.connector_by_id.find(end.at); found != scope.connector_by_id.end())
    return (found->second->name.empty() ? end.at : found->second->name) + " " + end.cavity;
  const Device* device = device_of(scope, end.at);
  const DeviceKind* kind = device ? kind_of(*device) : nullptr;
  const bool single = kind && kind->terminals.size() == 1;
  return (device ? device_words(*device) : end.at) + (single || end.cavity.empty() ? "" : " " + end.cavity);
}

FaultScope fault_scope(const Graft& graft, bool whole_loom) {
  FaultScope scope{graft};
  for (const Device& device : graft.devices) scope.device_by_id.try_emplace(device.id, &device);
  for (const Connector& connector : graft.connectors)
    scope.connector_by_id.try_emplace(connector.id, &connector);
  scope.forbidden = forbidden_ends(graft);
  scope.planned = as_planned(graft).wires;
  std::erase_if(scope.planned, [&](const Wire& wire) {
    return is_forbidden(scope, wire.from) || is_forbidden(scope, wire.to);
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
