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

// What an altered wire shares a joint, fuse, contact or device with carries the same current or signal.
bool touches(const Wire& wire, const std::set<std::string>& devices) {
  return devices.contains(wire.from.at) || devices.contains(wire.to.at);
}

}  // namespace

FaultScope fault_scope(const LoomFrame& frame, bool whole_loom) {
  FaultScope scope{frame};
  scope.altered = altered_wires(frame.graft);
  if (scope.altered.empty()) whole_loom = true;
  std::set<std::string> shared;
  for (const Wire& wire : frame.allowed) {
    if (!scope.altered.contains(wire.id)) continue;
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      const DeviceBuild build = build_of(frame, end->at);
      if (build != DeviceBuild::battery && build != DeviceBuild::earth && build != DeviceBuild::unknown)
        shared.insert(end->at);
    }
  }
  std::set<std::string> devices;
  for (const Wire& wire : frame.allowed) {
    if (!whole_loom && !scope.altered.contains(wire.id) && !touches(wire, shared)) continue;
    scope.wires.push_back(&wire);
    devices.insert(wire.from.at);
    devices.insert(wire.to.at);
  }
  for (const Device& device : frame.graft.devices) {
    if (devices.contains(device.id) && !frame.forbidden.has_device(device.id))
      scope.devices.push_back(&device);
  }
  return scope;
}

}  // namespace loomgraft
