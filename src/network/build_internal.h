// What the parts of network_of() share while a network is built.
#pragma once

#include <set>
#include <string>

#include "network/device_figures.h"
#include "network/frame.h"
#include "network/loom_network.h"
#include "standards/device_kinds.h"
#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft::network {

std::string device_name(const Device& device);
std::string cavity_name(const LoomFrame& frame, const CavityRef& at);
// Empty where the device has no such terminal. `index` counts in the kind's list.
std::string terminal_of(const Device& device, const DeviceKind& kind, std::size_t index);
// The loom's plug for a donor's connector; its own id for any other.
CavityRef loom_cavity(const LoomFrame& frame, const CavityRef& at);

// Which end of a figure's spread a corner takes. `resistance`: the highest in the weakest corner. `supply`:
// the lowest in the weakest corner.
enum class Sense { resistance, supply };

struct NetworkBuild {
  const LoomFrame& frame;
  const Condition& condition;
  const NetworkOptions& options;
  LoomNetwork& network;

  std::set<std::string> worked{}, removed{}, unplugged{};
  std::set<CavityRef> driven{};          // by the loom's plug
  std::optional<NodeId> battery_feed{};  // once found or assumed
  std::optional<NodeId> switched_feed{};
};

// ---- nodes and branches
NodeId add_node(NetworkBuild& build, std::string name);
NodeId outer_node(NetworkBuild& build, const WireEnd& end);
NodeId inner_node(NetworkBuild& build, const WireEnd& end);
NodeId face_node(NetworkBuild& build, const WireEnd& end);

struct BranchName {
  BranchKind kind = BranchKind::wire;
  std::string subject;
  std::string name;
};
std::size_t add_resistor(NetworkBuild& build, BranchName name, NodeId a, NodeId b, double ohms);
std::size_t add_source(NetworkBuild& build, BranchName name, NodeId plus, NodeId minus, double volts,
                       double ohms, double limit);
std::size_t add_diode(NetworkBuild& build, BranchName name, NodeId anode, NodeId cathode, double forward,
                      double ohms);

// ---- figures
double pick(const Figure& figure, Sense sense, Corner corner);
double pick_between(Ohms lowest, Ohms highest, Corner corner);  // middle: geometric
// The corner of an assumption.
Corner corner_of(const NetworkBuild& build, std::string_view subject, std::string_view quantity);
double network_pick(const NetworkBuild& build, std::string_view name, Sense sense);
// A device's figure in this corner; listed as assumed if it is a default of its kind. Zero if unknown.
double device_pick(NetworkBuild& build, const Device& device, std::string_view quantity, Sense sense);
// The same, but never listed: for contacts and the like, which no document states.
double unlisted_pick(const NetworkBuild& build, const Device& device, std::string_view quantity, Sense sense);
double ambient(const NetworkBuild& build);
double surroundings(const NetworkBuild& build, const std::string& place);
double supply_volts(const NetworkBuild& build);

void assume(NetworkBuild& build, std::string subject, std::string quantity, std::string taken,
            std::string why);
void report(NetworkBuild& build, Severity severity, ProblemCode code, std::string message,
            std::string remedy);

// ---- parts
void add_wires(NetworkBuild& build);
void add_contacts(NetworkBuild& build);
void add_devices(NetworkBuild& build);
void add_relay(NetworkBuild& build, const Device& device, const DeviceKind& kind);
void add_modules(NetworkBuild& build);
double coil_factor(const NetworkBuild& build, const Device& device);
bool closed_at_rest(const NetworkBuild& build, const Device& device);

// The battery's feed and the switched feed, from the document or assumed.
NodeId battery_feed(NetworkBuild& build);
NodeId switched_feed(NetworkBuild& build);
// What a pin of this class expects at the far end of its wire, at `far`. `earth`: where sensors return.
void add_expected_end(NetworkBuild& build, const BranchName& name, PinClass pin_class, NodeId far,
                      NodeId earth);

inline bool key_on(const NetworkBuild& build) {
  return build.condition.key != KeyPosition::off;
}
// Whether a state of a pin is possible in the present key position.
bool fits_key(const NetworkBuild& build, const PinState& state);

}  // namespace loomgraft::network
