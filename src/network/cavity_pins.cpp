#include "network/cavity_pins.h"

#include <algorithm>

namespace loomgraft {
namespace {

const Module* owner_of(const Graft& graft, const std::string& connector) {
  for (const Module& module : graft.modules) {
    if (std::find(module.connectors.begin(), module.connectors.end(), connector) != module.connectors.end())
      return &module;
  }
  return nullptr;
}

const Module* donor_of(const Graft& graft) {
  const auto found = std::find_if(graft.modules.begin(), graft.modules.end(),
                                  [](const Module& module) { return module.role == ModuleRole::donor; });
  return found == graft.modules.end() ? nullptr : &*found;
}

// The donor's connector of the same name; names are what stands on the plugs.
std::string counterpart(const Graft& graft, const Module& donor, const std::string& connector) {
  const Connector* found = find_connector(graft, connector);
  if (!found) return {};
  for (const std::string& id : donor.connectors) {
    const Connector* other = find_connector(graft, id);
    if (other && other->name == found->name) return id;
  }
  return {};
}

}  // namespace

PinAt pin_at(const Graft& graft, const WireEnd& end, LoomState loom_state) {
  PinAt result;
  result.module = owner_of(graft, end.at);
  if (!result.module) return result;
  std::string connector = end.at;
  if (loom_state == LoomState::as_planned && result.module->role == ModuleRole::found) {
    if (const Module* donor = donor_of(graft)) {
      connector = counterpart(graft, *donor, end.at);
      result.module = donor;
    }
  }
  for (const Pin& pin : result.module->pins) {
    if (pin.at.connector == connector && pin.at.cavity == end.cavity) result.pin = &pin;
  }
  return result;
}

Graft with_donor_in_place(const Graft& graft) {
  Graft changed = graft;
  const auto found = std::ranges::find(changed.modules, ModuleRole::found, &Module::role);
  const Module* donor = donor_of(graft);
  if (found == changed.modules.end() || !donor) return changed;
  found->name = donor->name;
  found->pins.clear();
  for (const std::string& plug : found->connectors) {
    const std::string other = counterpart(graft, *donor, plug);
    for (Pin pin : donor->pins) {
      if (pin.at.connector != other) continue;
      pin.at.connector = plug;
      found->pins.push_back(std::move(pin));
    }
  }
  return changed;
}

std::optional<NodeId> module_earth_node(const LoomNetwork& network, const std::string& module) {
  return inner_node_at(network, {module, "earth"});
}

}  // namespace loomgraft
