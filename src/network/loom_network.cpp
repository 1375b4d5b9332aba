#include "network/loom_network.h"

#include <algorithm>
#include <cmath>

#include "network/build_internal.h"
#include "standards/network_figures.h"

namespace loomgraft {

using namespace network;
namespace {

// Estimates with what is at a wire's ends, for reserving memory.
constexpr std::size_t nodes_per_wire = 4;
constexpr std::size_t branches_per_wire = 8;

void note_contradictions(NetworkBuild& build) {
  for (const std::string& id : build.removed) {
    if (!build.worked.contains(id)) continue;
    report(build, Severity::warning, "worked-and-removed",
           "The condition works " + id + " and has it out of its socket.",
           "Take one of the two back; it is taken as removed.");
  }
  for (const std::set<std::string>* ids : {&build.worked, &build.removed}) {
    for (const std::string& id : *ids) {
      if (build.frame.devices.contains(id)) continue;
      report(build, Severity::warning, "no-such-id", "The condition names a device \"" + id + "\".",
             "There is none of that id; correct it.");
    }
  }
  for (const std::string& id : build.unplugged) {
    if (build.frame.connectors.contains(id)) continue;
    report(build, Severity::warning, "no-such-id", "The condition unplugs a connector \"" + id + "\".",
           "There is none of that id; correct it.");
  }
}

void read_condition(NetworkBuild& build) {
  const Condition& condition = build.condition;
  build.worked = {condition.worked.begin(), condition.worked.end()};
  build.removed = {condition.removed.begin(), condition.removed.end()};
  for (const std::string& id : condition.unplugged)
    build.unplugged.insert(loom_cavity(build.frame, {id, ""}).connector);
  for (const CavityRef& at : condition.driven) build.driven.insert(loom_cavity(build.frame, at));
  note_contradictions(build);
}

// Every node except the body leaks through the insulation, so no node floats.
void add_leakage(NetworkBuild& build) {
  const double ohms = network_figure("leakage_ohm", build.frame.system).middle();
  const auto count = static_cast<std::uint32_t>(build.network.nodes.size());
  for (std::uint32_t node = 1; node < count; ++node) {
    add_resistor(build, {BranchKind::leakage, {}, "leakage of " + build.network.nodes[node].name},
                 NodeId{node}, earth_node, ohms);
  }
}

}  // namespace

LoomNetwork network_of(const LoomFrame& frame, const Condition& condition, const NetworkOptions& options) {
  LoomNetwork network;
  network.assumptions = frame.assumptions;
  network.problems = frame.problems;
  network.nodes.reserve(nodes_per_wire * frame.wires.size());
  network.branches.reserve(branches_per_wire * frame.wires.size());
  network.nodes.push_back({{}, false, "body"});
  NetworkBuild build{frame, condition, options, network};
  for (const ResolvedEnd& one : frame.resolved_ends)
    network.end_nodes.try_emplace(one.written, outer_node(build, one.end));
  read_condition(build);
  add_devices(build);
  add_wires(build);
  add_contacts(build);
  add_modules(build);
  add_leakage(build);
  return network;
}

LoomNetwork network_of(const Graft& graft, const Condition& condition, const NetworkOptions& options) {
  return network_of(*frame_of(graft, options.loom_state), condition, options);
}

std::optional<NodeId> node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.end_nodes.find(end);
  if (found == network.end_nodes.end()) return std::nullopt;
  return found->second;
}

std::optional<NodeId> inner_node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.inner_nodes.find(end);
  if (found == network.inner_nodes.end()) return std::nullopt;
  return found->second;
}

std::optional<NodeId> face_node_at(const LoomNetwork& network, const WireEnd& end) {
  const auto found = network.face_nodes.find(end);
  if (found == network.face_nodes.end()) return std::nullopt;
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
