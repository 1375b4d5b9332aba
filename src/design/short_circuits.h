// What flows in a short circuit, solved in the network, and through which fuses it comes.
//
// Model   each wire in question is shorted to the body at either end in turn, and each consumer of the altered circuits across
//         its terminals, in the strongest corner, with the relays as they were. Alternators and other sources beside the
//         batteries feed the short with their own current. What the short adds to the current of each branch is followed
//         from the wire up to the sources: the first fuse on each way, or none
// Gives   for each wire the shorts that flow through it, one for each fuse and one for what no fuse feeds; for each fuse the
//         greatest current that it must interrupt
// Cost    one numeric factorisation for each end and each consumer
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "design/sizing_run.h"

namespace loomgraft::design {

struct WireShort {
  Amperes current;               // in the wire, the greatest of these shorts
  const Device* fuse = nullptr;  // the nearest on the feeding side; none: this part comes through no fuse
  double share = 1.0;     // of the wire's current that comes through it, the least of these shorts; 1 at most
  bool from_pin = false;  // a module's pin is on the way
};

struct ShortCircuits {
  std::map<std::string, std::vector<WireShort>> of_wire;
  std::map<std::string, Amperes> through_fuse;
};

// Needs `wires` that the sizing run plans.
ShortCircuits short_circuits(const SizingRun& run, const std::set<std::string>& wires);

}  // namespace loomgraft::design
