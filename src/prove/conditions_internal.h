// The states of the job in which tests are made, and the network of each. For the folder only.
#pragma once

#include <string>
#include <vector>

#include "network/loom_network.h"
#include "prove/prove.h"
#include "prove/scope_internal.h"

namespace loomgraft::prove {

// What a state is for: which tests make sense in it.
enum class StateUse {
  open,     // dead, module plugs apart
  bare,     // and every part out: what touches what
  fed,      // alive, module plugs apart
  forced,   // and an output's load worked by a jumper
  plugged,  // alive, all plugged, at rest
  worked,   // a switch worked
  driven,   // an output on
  low,      // the same at the battery's lower end
  asleep,   // key off, all plugged
  fuse_out  // one fuse out: nothing may come back
};

struct PlannedState {
  ProveState state;
  StateUse use = StateUse::open;
  std::vector<std::string> focus;  // devices, or "connector:cavity"
};

std::vector<PlannedState> planned_states(const ProveScope& scope);

// With its jumpers in place. Laid out with crimps.
LoomNetwork state_network(const ProveScope& scope, const ProveState& state, Corner corner);

// Loads that a jumper at an open plug can work, each with the jumpers it takes: none across a supply, none
// past a fuse, none where nothing would flow.
struct ForcedLoad {
  CavityRef output;
  std::vector<Jumper> jumpers;
};
std::vector<ForcedLoad> forced_loads(const ProveScope& scope, const Condition& open_plugs);

// The outputs that have to be on for the module to have its own feed.
std::vector<CavityRef> holding_outputs(const ProveScope& scope);

}  // namespace loomgraft::prove
