#include "network/loom_network.h"

#include <algorithm>
#include <cmath>

#include "loom/plan.h"
#include "network/network_build_internal.h"
#include "standards/network_figures.h"

namespace loomgraft {
namespace {

template <class Item>
ById<Item> by_id(const std::vector<Item>& items) {
  ById<Item> found;
  for (const Item& item : items) found.try_emplace(item.id, &item);
  return found;
}

bool is_hub(const NetworkBuild& build, const std::string& id) {
  const auto device = build.devices.find(id);
  const DeviceKind* kind = device == build.devices.end() ? nullptr : device_kind(device->second->kind);
  return kind && (kind->build == DeviceBuild::splice || kind->build == DeviceBuild::earth);
}

// The terminals of a splice or an earth point are one node; a device's terminal that nobody named is the next
// one without a wire.
void settle_end(NetworkBuild& build, WireEnd& end, const std::string& wire) {
  if (end.at.empty()) return;
  end.at = loom_cavity(build, {end.at, end.cavity}).connector;
  const auto device = build.devices.find(end.at);
  if (device == build.devices.end()) return;
  const DeviceKind* kind = device_kind(device->second->kind);
  if (!kind) return;
  if (is_hub(build, end.at)) {
    end.cavity = terminal_of(*device->second, *kind, 0);
    return;
  }
  if (!end.cavity.empty()) return;
  for (std::size_t k = 0; k < kind->terminals.size(); ++k) {
    const std::string terminal = terminal_of(*device->second, *kind, k);
    if (terminal.empty() || build.wired.contains({end.at, terminal})) continue;
    end.cavity = terminal;
    assume(build, wire, "terminal", terminal + " of " + device_name(*device->second),
           "the document does not say at which it ends");
    return;
  }
}

bool is_terminal(const Device& device, const DeviceKind& kind, const std::string& name) {
  for (std::size_t k = 0; k < kind.terminals.size(); ++k) {
    if (terminal_of(device, kind, k) == name) return true;
  }
  return false;
}

void check_end(NetworkBuild& build, const WireEnd& end, const Wire& wire) {
  if (end.at.empty() || build.connectors.contains(end.at)) return;
  const auto device = build.devices.find(end.at);
  if (device == build.devices.end()) {
    report(build, Severity::warning, "no-such-id",
           "Wire " + wire.id + " ends at \"" + end.at + "\", which is no connector and no device.",
           "Correct the id; until then the end is open.");
    return;
  }
  const DeviceKind* kind = device_kind(device->second->kind);
  if (!kind || is_terminal(*device->second, *kind, end.cavity)) return;
  report(build, Severity::warning, "no-such-terminal",
         "Wire " + wire.id + " ends at terminal \"" + end.cavity + "\" of " + device_name(*device->second) +
             ", which has none of that name.",
         "Correct the terminal; until then the end is open.");
}

void settle_wires(NetworkBuild& build) {
  if (build.options.stage == LoomStage::as_planned && build.options.planned) {
    build.wires = *build.options.planned;
  } else if (build.options.stage == LoomStage::as_planned) {
    LoomState planned = as_planned(build.graft);
    build.wires = std::move(planned.wires);
    for (Problem& problem : planned.problems) build.network.problems.push_back(std::move(problem));
  } else {
    build.wires = build.graft.wires;
  }
  for (const Wire& wire : build.wires) {
    for (const WireEnd* end : {&wire.from, &wire.to}) {
      if (!end->at.empty() && !end->cavity.empty()) build.wired.insert(*end);
    }
  }
  for (Wire& wire : build.wires) {
    for (WireEnd* end : {&wire.from, &wire.to}) {
      const WireEnd written = *end;
      settle_end(build, *end, wire.id);
      check_end(build, *end, wire);
      if (end->at.empty()) continue;
      build.wired.insert(*end);
      if (written != *end) {
        build.wired.erase(written);
        build.network.places.try_emplace(written, outer_node(build, *end));
      }
    }
  }
}

void note_contradictions(NetworkBuild& build) {
  for (const std::string& id : build.removed) {
    if (!build.worked.contains(id)) continue;
    report(build, Severity::warning, "worked-and-removed",
           "The condition works " + id + " and has it out of its socket.",
           "Take one of the two back; it is taken as removed.");
  }
  for (const std::set<std::string>* ids : {&build.worked, &build.removed}) {
    for (const std::string& id : *ids) {
      if (build.devices.contains(id)) continue;
      report(build, Severity::warning, "no-such-id", "The condition names a device \"" + id + "\".",
             "There is none of that id; correct it.");
    }
  }
  for (const std::string& id : build.unplugged) {
    if (build.connectors.contains(id)) continue;
    report(build, Severity::warning, "no-such-id", "The condition unplugs a connector \"" + id + "\".",
           "There is none of that id; correct it.");
  }
}

void read_condition(NetworkBuild& build) {
  const Condition& condition = build.condition;
  build.worked = {condition.worked.begin(), condition.worked.end()};
  build.removed = {condition.removed.begin(), condition.removed.end()};
  for (const std::string& id : condition.unplugged)
    build.unplugged.insert(loom_cavity(build, {id, ""}).connector);
  for (const CavityRef& at : condition.driven) build.driven.insert(loom_cavity(build, at));
  note_contradictions(build);
}

// Every node but the body leaks: a figure of the insulation, and the reason why nothing floats.
void add_leakage(NetworkBuild& build) {
  const double ohms = network_figure("leakage_ohm", build.system).middle();
  const auto count = static_cast<std::uint32_t>(build.network.nodes.size());
  for (std::uint32_t node = 1; node < count; ++node) {
    add_resistor(build, {BranchKind::leakage, {}, "leakage of " + build.network.nodes[node].name},
                 NodeId{node}, earth_node, ohms);
  }
}

}  // namespace

LoomNetwork network_of(const Graft& graft, const Condition& condition, const NetworkOptions& options) {
  LoomNetwork network;
  network.nodes.push_back({{}, false, "body"});
  NetworkBuild build{graft, condition, options, network, system_of(graft.vehicle.supply)};
  build.devices = by_id(graft.devices);
  build.connectors = by_id(graft.connectors);
  build.loom_places = by_id(graft.places);
  build.paths = by_id(graft.paths);
  choose_modules(build);
  settle_wires(build);
  read_condition(build);
  add_devices(build);
  add_wires(build);
  add_contacts(build);
  add_modules(build);
  add_leakage(build);
  return network;
}

std::optional<NodeId> node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.places.find(end);
  if (found == network.places.end()) return std::nullopt;
  return found->second;
}

std::optional<NodeId> inner_node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.inner_places.find(end);
  if (found == network.inner_places.end()) return std::nullopt;
  return found->second;
}

std::optional<NodeId> face_node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.face_places.find(end);
  if (found == network.face_places.end()) return std::nullopt;
  return found->second;
}

Amperes branch_current(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch) {
  const NetworkBranch& item = network.branches[branch];
  switch (item.list) {
    case ElementList::resistor:
      return solution.point.resistors[item.index];
    case ElementList::source:
      return -solution.point.sources[item.index];
    case ElementList::diode:
      return solution.point.diodes[item.index];
  }
  return {};
}

Watts branch_power(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch) {
  const NetworkBranch& item = network.branches[branch];
  const Volts across = solution.point.nodes[item.a.value] - solution.point.nodes[item.b.value];
  return across * branch_current(network, solution, branch);
}

bool is_overloaded(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch) {
  const auto& rating = network.branches[branch].rating;
  return rating && std::abs(branch_current(network, solution, branch).si) > rating->si;
}

std::size_t add_meter(LoomNetwork& network, NodeId red, NodeId black, MeterKind kind) {
  // A meter is the same on a 12 V and a 24 V vehicle.
  const auto rule = [](const char* name) { return contention_rule(name, SystemVolts::nominal_12); };
  NetworkBranch branch{BranchKind::meter, "meter", "meter", red, black, ElementList::resistor, 0, {}};
  Circuit& circuit = network.circuit;
  if (kind == MeterKind::ohms) {
    branch.list = ElementList::source;
    branch.index = circuit.sources.size();
    circuit.sources.push_back({red,
                               black,
                               {rule("meter_ohms_volts")},
                               {rule("meter_ohms_inner") + rule("meter_leads")},
                               {rule("meter_ohms_current")}});
  } else {
    const double shunt = network_figure("meter_shunt_ohm", SystemVolts::nominal_12).middle();
    const double ohms = kind == MeterKind::volts ? rule("meter_volts_resistance") : shunt;
    branch.index = circuit.resistors.size();
    circuit.resistors.push_back({red, black, {ohms}});
  }
  network.branches.push_back(std::move(branch));
  return network.branches.size() - 1;
}

}  // namespace loomgraft
