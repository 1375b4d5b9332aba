#include "readings/working_conditions.h"

#include <limits>

#include "standards/device_kinds.h"
#include "standards/fuses.h"
#include "standards/pin_states.h"

namespace loomgraft {

Condition everything_on(const Graft& graft) {
  Condition condition;
  condition.name = "everything on";
  for (const Device& device : graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (kind && kind->build == DeviceBuild::contacts) condition.worked.push_back(device.id);
  }
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (pin_model(pin.pin_class, PinSide::module, SystemVolts::nominal_12).ratings.kind == PinKind::output)
        condition.driven.push_back(pin.at);
    }
  }
  return condition;
}

double surely_blows_at() {
  for (const FuseGate& gate : fuse_family("")->gates) {
    if (gate.longest) return gate.multiple;
  }
  return std::numeric_limits<double>::infinity();
}

}  // namespace loomgraft
