// A network with one change made in it, for a full solve.
#include <limits>
#include <utility>

#include "network/faults.h"

namespace loomgraft {
namespace {

// Elements without any effect, which keep their index in their list.
constexpr Ohms as_good_as_open{1e15};
constexpr Volts beyond_reach{1e9};

// Contacts with a fault no longer follow their coil.
void take_from_relays(LoomNetwork& network, std::size_t branch) {
  for (NetworkRelay& relay : network.relays) {
    std::erase(relay.make, branch);
    std::erase(relay.break_, branch);
  }
}

void change_source(LoomNetwork& network, const SourceChange& change) {
  const NetworkBranch& branch = network.branches[change.branch];
  if (branch.list == ElementList::source) {
    LimitedSource& source = network.circuit.sources[branch.index];
    if (change.reversed) return std::swap(source.plus, source.minus);
    source.voltage = {};
    source.resistance = as_good_as_open;
    source.limit = {std::numeric_limits<double>::infinity()};
  } else if (branch.list == ElementList::diode) {
    Diode& diode = network.circuit.diodes[branch.index];
    if (change.reversed) return std::swap(diode.anode, diode.cathode);
    diode.forward = beyond_reach;
  } else {
    network.circuit.resistors[branch.index].resistance = {std::numeric_limits<double>::infinity()};
  }
}

}  // namespace

LoomNetwork changed(const LoomNetwork& network, const NetworkChange& change) {
  LoomNetwork result = network;
  for (const BranchChange& one : change.branches) {
    const NetworkBranch& branch = result.branches[one.branch];
    if (branch.list != ElementList::resistor) continue;
    result.circuit.resistors[branch.index].resistance = one.resistance;
    take_from_relays(result, one.branch);
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
                               {},
                               {}});
  }
  for (const SourceChange& one : change.sources) change_source(result, one);
  for (const std::size_t relay : change.relays_opposite)
    std::swap(result.relays[relay].make, result.relays[relay].break_);
  return result;
}

}  // namespace loomgraft
