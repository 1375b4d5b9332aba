// Current where none should be: the whole planned loom in every key position, with contacts at rest and
// closed.
//
// A fuse that carries current from its load side to the battery side, a module's feed pin that gives current
// out, and a consumer that stays live with the key off: each is fed by a path that nobody planned.
#include <algorithm>
#include <array>
#include <cmath>

#include "base/parallel.h"
#include "design/checks_internal.h"
#include "network/cavity_pins.h"
#include "network/frame.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

double smallest_back_feed() {
  return default_figure("back_feed_a");
}

struct KeyCase {
  KeyPosition key;
  bool contacts_closed;
  const char* name;
};
constexpr KeyCase key_cases[] = {
    {KeyPosition::off, false, "key off"},        {KeyPosition::off, true, "key off, switches closed"},
    {KeyPosition::on, false, "key on, at rest"}, {KeyPosition::on, true, "key on, switches closed"},
    {KeyPosition::crank, false, "cranking"},     {KeyPosition::crank, true, "cranking, switches closed"}};

Condition condition_of(const Graft& graft, const KeyCase& key_case) {
  Condition condition;
  condition.name = key_case.name;
  condition.key = key_case.key;
  for (const Device& device : graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::contacts) continue;
    const bool closed = device.closed_at_rest.value_or(kind->symbol == "contact_closed");
    if (closed != key_case.contacts_closed) condition.worked.push_back(device.id);
  }
  return condition;
}

// Steps of each node from the battery along conductors and closed contacts. The feeding end of a fuse is the one
// with fewer steps.
std::vector<int> steps_from_supply(const LoomNetwork& network) {
  std::vector<int> steps(network.nodes.size(), -1);
  std::vector<std::vector<std::uint32_t>> next(network.nodes.size());
  std::vector<std::uint32_t> queue;
  for (const NetworkBranch& branch : network.branches) {
    const bool way = branch.kind == BranchKind::wire || branch.kind == BranchKind::contact ||
                     branch.kind == BranchKind::joint || branch.kind == BranchKind::fuse ||
                     branch.kind == BranchKind::contacts;
    if (way && branch.a != earth_node && branch.b != earth_node) {
      next[branch.a.value].push_back(branch.b.value);
      next[branch.b.value].push_back(branch.a.value);
    }
    if (branch.kind != BranchKind::supply) continue;
    for (const NodeId node : {branch.a, branch.b}) {
      if (node == earth_node || steps[node.value] == 0) continue;
      steps[node.value] = 0;
      queue.push_back(node.value);
    }
  }
  for (std::size_t i = 0; i < queue.size(); ++i) {
    for (const std::uint32_t node : next[queue[i]]) {
      if (steps[node] >= 0) continue;
      steps[node] = steps[queue[i]] + 1;
      queue.push_back(node);
    }
  }
  return steps;
}

void check_fuses(const LoomNetwork& network, const NetworkSolution& solution, const KeyCase& key_case,
                 std::vector<BackFeed>& found) {
  const std::vector<int> steps = steps_from_supply(network);
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const NetworkBranch& branch = network.branches[i];
    const int at_a = steps[branch.a.value];
    const int at_b = steps[branch.b.value];
    if (branch.kind != BranchKind::fuse || at_a == at_b || at_a < 0 || at_b < 0) continue;
    const double into_load = (at_a < at_b ? 1.0 : -1.0) * branch_current(network, solution, i).si;
    if (into_load < -smallest_back_feed())
      found.push_back({key_case.name,
                       device_subject(branch.subject),
                       "Current flows back through fuse " + branch.subject + " towards the battery.",
                       {-into_load}});
  }
}

bool is_feed_in(const Pin& pin) {
  return pin.pin_class == PinClass::supply_30 || pin.pin_class == PinClass::supply_15;
}

void check_feed_pins(const Graft& graft, const LoomNetwork& network, const NetworkSolution& solution,
                     const KeyCase& key_case, std::vector<BackFeed>& found) {
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const NetworkBranch& branch = network.branches[i];
    if (branch.kind != BranchKind::contact) continue;
    const WireEnd at = network.nodes[branch.a.value].at;
    const PinAt found_pin = pin_at(graft, at);
    if (!found_pin.pin || !is_feed_in(*found_pin.pin)) continue;
    const bool a_is_module_side = network.nodes[branch.a.value].module_side;
    const double out = (a_is_module_side ? 1.0 : -1.0) * branch_current(network, solution, i).si;
    if (out > smallest_back_feed())
      found.push_back(
          {key_case.name,
           pin_subject(at),
           "The module gives current out of its feed pin " + at.cavity + " (" + found_pin.pin->signal + ").",
           {out}});
  }
}

// Consumers that are live with the key off and every contact at rest, except other controllers, which are fed from the
// battery on purpose.
void check_live(const Graft& graft, const LoomNetwork& network, const NetworkSolution& solution,
                const KeyCase& key_case, std::vector<BackFeed>& found) {
  if (key_case.key != KeyPosition::off || key_case.contacts_closed) return;
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const NetworkBranch& branch = network.branches[i];
    const Device* device = branch.kind == BranchKind::consumer ? find_device(graft, branch.subject) : nullptr;
    const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
    if (!kind || kind->build == DeviceBuild::controller) continue;
    const double current = std::abs(branch_current(network, solution, i).si);
    if (current > smallest_back_feed())
      found.push_back({key_case.name,
                       device_subject(device->id),
                       "It stays live with the key off and every contact at rest.",
                       {current}});
  }
}

}  // namespace

std::vector<BackFeed> back_feeds(const LoomFrame& planned) {
  const Graft& graft = planned.graft;
  std::array<std::vector<BackFeed>, std::size(key_cases)> by_case;
  parallel_for(by_case.size(), [&](std::size_t k) {
    LoomNetwork network =
        network_of(planned, condition_of(graft, key_cases[k]), {LoomState::as_planned, Corner::strongest});
    const auto solution = solve(network);
    if (!solution) return;
    check_fuses(network, *solution, key_cases[k], by_case[k]);
    check_feed_pins(graft, network, *solution, key_cases[k], by_case[k]);
    check_live(graft, network, *solution, key_cases[k], by_case[k]);
  });
  std::vector<BackFeed> found;
  for (const std::vector<BackFeed>& more : by_case) {
    for (const BackFeed& feed : more) {
      const bool known = std::ranges::any_of(found, [&](const BackFeed& other) {
        return other.subject == feed.subject && other.text == feed.text;
      });
      if (!known) found.push_back(feed);
    }
  }
  return found;
}

}  // namespace loomgraft::design
