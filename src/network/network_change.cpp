// A network with one change made in it, for a solution in full.
#include <limits>
#include <utility>

#include "network/faults.h"

namespace loomgraft {
namespace {

void take_out(LoomNetwork& network, NetworkBranch& branch) {
  network.circuit.resistors.push_back({branch.a, branch.b, {std::numeric_limits<double>::infinity()}});
  branch.list = ElementList::resistor;
  branch.index = network.circuit.resistors.size() - 1;
}

// The element stays in its list, so that the positions of the others hold; it joins the reference to itself.
void change_source(LoomNetwork& network, const SourceChange& change) {
  NetworkBranch& branch = network.branches[change.branch];
  if (branch.list == ElementList::source) {
    LimitedSource& source = network.circuit.sources[branch.index];
    if (change.reversed) return std::swap(source.plus, source.minus);
    source = {earth_node, earth_node, {0.0}, source.resistance, source.limit};
    return take_out(network, branch);
  }
  if (branch.list != ElementList::diode) return;
  Diode& diode = network.circuit.diodes[branch.index];
  if (change.reversed) return std::swap(diode.anode, diode.cathode);
  diode.anode = diode.cathode = earth_node;
  take_out(network, branch);
}

}  // namespace

LoomNetwork changed(const LoomNetwork& network, const NetworkChange& change) {
  LoomNetwork result = network;
  for (const BranchChange& one : change.branches) {
    const NetworkBranch& branch = result.branches[one.branch];
    if (branch.list == ElementList::resistor)
      result.circuit.resistors[branch.index].resistance = one.resistance;
  }
  for (const Bridge& bridge : change.bridges) {
    result.circuit.resistors.push_back({bridge.a, bridge.b, bridge.resistance});
    result.branches.push_back({BranchKind::joint,
                               "fault",
                               "fault",
                               bridge.a,
                               bridge.b,
                               ElementList::resistor,
                               result.circuit.resistors.size() - 1,
                               {}});
  }
  for (const SourceChange& one : change.sources) change_source(result, one);
  for (const std::size_t relay : change.relays_opposite)
    std::swap(result.relays[relay].make, result.relays[relay].break_);
  return result;
}

}  // namespace loomgraft
