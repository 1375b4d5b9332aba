// What all networks of a loom in one stage share, whatever the condition and the corner.
#pragma once

#include <map>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

#include "network/loom_network.h"
#include "standards/device_kinds.h"
#include "standards/pin_states.h"

namespace loomgraft {
namespace network {

struct PinPlace {
  const Module* module = nullptr;
  const Pin* pin = nullptr;
};

// An end as the document writes it, and what it stands for.
struct SettledEnd {
  WireEnd written;
  WireEnd end;
};

template <class Item>
using ById = std::unordered_map<std::string, const Item*>;

}  // namespace network

struct LoomFrame {
  const Graft& graft;
  SystemVolts system;
  std::vector<Wire> wires{};  // of the stage, their ends settled
  std::vector<network::SettledEnd> settled{};
  network::ById<Device> devices{};
  network::ById<Connector> connectors{};
  network::ById<LoomPlace> places{};
  network::ById<LoomPath> paths{};
  std::vector<const Module*> modules{};  // that are plugged in
  // Donor's connector to the loom's plug that takes it.
  std::unordered_map<std::string, std::string> plug_of{};
  std::map<CavityRef, network::PinPlace> pins{};  // by the loom's plug and cavity
  std::set<WireEnd> wired{};             // ends that the document joins to something
  std::vector<Assumption> assumptions{};
  Problems problems{};
};

namespace network {

std::string device_name(const Device& device);
std::string cavity_name(const LoomFrame& frame, const CavityRef& at);
// Empty where the device has no such terminal. `index` counts in the kind's list.
std::string terminal_of(const Device& device, const DeviceKind& kind, std::size_t index);
// The loom's plug for a donor's connector; its own id for any other.
CavityRef loom_cavity(const LoomFrame& frame, const CavityRef& at);

}  // namespace network
}  // namespace loomgraft
