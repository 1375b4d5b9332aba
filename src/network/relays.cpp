#include <algorithm>

#include "network/build_internal.h"
#include "standards/copper.h"

namespace loomgraft::network {
namespace {

// Contacts of one throw of a relay: closed at rest or when it has pulled in.
std::optional<std::size_t> add_throw(NetworkBuild& build, const Device& device, const std::string& common,
                                     const std::string& to, double ohms, double turned) {
  if (common.empty() || to.empty()) return std::nullopt;
  const std::size_t branch =
      add_resistor(build, {BranchKind::contacts, device.id, device_name(device) + " " + common + "-" + to},
                   outer_node(build, {device.id, common}), outer_node(build, {device.id, to}), ohms);
  build.network.branches[branch].turned = Ohms{turned};
  const auto rating = device_figure(device, "rating_a", build.frame.system);
  if (rating) build.network.branches[branch].rating = Amperes{rating->figure.middle()};
  return branch;
}

void add_follower(NetworkBuild& build, const Device& device, NodeId coil_a, NodeId coil_b,
                  NetworkRelay relay) {
  relay.device = device.id;
  relay.coil_a = coil_a;
  relay.coil_b = coil_b;
  // The sheet's volts are those of a coil at 20 °C; it is the current that pulls. A coil at rest has the
  // temperature of its surroundings, not that of its operation.
  const double factor = copper_factor({surroundings(build, device.place)});
  relay.pull_in = {device_pick(build, device, "pull_in_v", Sense::resistance) * factor};
  relay.release = {device_pick(build, device, "release_v", Sense::resistance) * factor};
  if (relay.release > relay.pull_in) {
    report(build, Severity::warning, "release-above-pull-in",
           device_name(device) + " is said to release at more volts than it pulls in.",
           "Correct one of the two; it is taken to release just below its pull-in.");
    relay.release = relay.pull_in;
  }
  build.network.relays.push_back(std::move(relay));
}

}  // namespace

double coil_factor(const NetworkBuild& build, const Device& device) {
  double degrees = surroundings(build, device.place);
  if (build.options.corner == Corner::weakest)
    degrees += unlisted_pick(build, device, "self_heat_c", Sense::resistance);
  return copper_factor({degrees});
}

void add_relay(NetworkBuild& build, const Device& device, const DeviceKind& kind) {
  const std::string minus = terminal_of(device, kind, 0);
  const std::string plus = terminal_of(device, kind, 1);
  const double closed = unlisted_pick(build, device, "contact_ohm", Sense::resistance);
  const double open = unlisted_pick(build, device, "open_ohm", Sense::resistance);
  const bool by_hand = build.worked.contains(device.id);
  const std::string common = terminal_of(device, kind, 2);
  NetworkRelay relay;
  relay.closed = {closed};
  relay.open = {open};
  if (const auto make = add_throw(build, device, common, terminal_of(device, kind, 3),
                                  by_hand ? closed : open, by_hand ? open : closed))
    relay.make.push_back(*make);
  if (const auto rest = add_throw(build, device, common, terminal_of(device, kind, 4),
                                  by_hand ? open : closed, by_hand ? closed : open))
    relay.break_.push_back(*rest);
  if (minus.empty() || plus.empty()) {
    report(build, Severity::warning, "no-coil", device_name(device) + " has no coil terminals 85 and 86.",
           "Name its terminals; its contacts stay at rest.");
    return;
  }
  const NodeId a = outer_node(build, {device.id, plus});
  const NodeId b = outer_node(build, {device.id, minus});
  const double ohms =
      device_pick(build, device, "resistance_ohm", Sense::resistance) * coil_factor(build, device);
  add_resistor(build, {BranchKind::consumer, device.id, device_name(device) + " coil"}, a, b, ohms);
  if (!by_hand) add_follower(build, device, a, b, std::move(relay));
}

}  // namespace loomgraft::network
