// The conditions in which tests are made, and the network of each. For the folder only.
#pragma once

#include <string>
#include <vector>

#include "network/loom_network.h"
#include "prove/prove.h"
#include "prove/scope_internal.h"

namespace loomgraft::prove {

// What a condition is for: which tests make sense in it.
enum class ConditionUse {
  open,       // battery off, module plugs apart
  bare,       // and every part removed: what touches what
  fed,        // battery on, module plugs apart
  forced,     // and an output's load operated by a jumper
  lamp,       // and a feed or earth of a module loaded with a lamp
  plugged,    // battery on, all plugged in, at rest
  worked,     // a switch operated
  driven,     // an output on
  low,        // the same at the lowest battery voltage
  test_plug,  // battery off, a test plug in a module's plug
  asleep,     // key off, all plugged in
  fuse_out    // one fuse out: nothing may feed back
};

struct PlannedCondition {
  ProveCondition condition;
  ConditionUse use = ConditionUse::open;
  std::vector<WireEnd> focus;  // devices (no terminal) and cavities that are operated or removed
};

std::vector<PlannedCondition> planned_conditions(const ProveScope& scope);

// With its jumpers in place, and with crimps (NetworkOptions::crimps).
LoomNetwork condition_network(const ProveScope& scope, const ProveCondition& condition, Corner corner);

// Loads that a jumper at an open plug can operate, each with the jumpers it takes: none across a supply, none
// that overloads a fuse, none where no current would flow.
struct ForcedLoad {
  CavityRef output;  // or the cavity of a feed or earth
  std::vector<Jumper> jumpers;
};
std::vector<ForcedLoad> forced_loads(const ProveScope& scope, const Condition& open_plugs);

// Feeds and earths of modules that a lamp at the open plug can load: the largest lamp that overloads no fuse.
std::vector<ForcedLoad> lamp_loads(const ProveScope& scope, const Condition& open_plugs);

// The outputs that have to be on for the module to get its own feed.
std::vector<CavityRef> holding_outputs(const ProveScope& scope);

}  // namespace loomgraft::prove
