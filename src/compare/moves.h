// The order in which terminals are moved from cavity to cavity, retired and added.
//
// Model   shifts form paths and cycles over cavities. A cycle needs one terminal parked outside; nothing else
// does. Needs   no cavity is the target of two changes, no terminal leaves twice (checked) Gives   the fewest
// extractions and insertions: one for each shift, one parking for each cycle. At no step do two
//         terminals sit in one cavity; a parked or retired terminal is insulated before the next step.
// Fails   Problem "move-collision" for contradictory input
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

struct Shift {
  CavityRef from;
  CavityRef to;
  std::string signal;
};
struct Loose {  // a retirement (terminal leaves `at`) or an addition (a new terminal goes into `at`)
  CavityRef at;
  std::string signal;
};

struct MoveRequest {
  std::vector<Shift> shifts;
  std::vector<Loose> retirements;
  std::vector<Loose> additions;
  std::vector<std::string>
      sealed_connectors;  // ids: empty cavities there need a plug, moved terminals a fresh seal check
};

enum class MoveAction { retire, park, move, insert_parked, add, plug_cavity, unplug_cavity };

struct MoveStep {
  int step = 0;  // from 1
  MoveAction action = MoveAction::move;
  CavityRef from;  // empty connector: no cavity (parked, or new)
  CavityRef to;
  std::string signal;
  std::string note;  // what to do by hand: insulate, seal, plug
};

struct MovePlan {
  std::vector<MoveStep> steps;
  int extractions = 0;
  int insertions = 0;
  int parkings = 0;
  int cavity_plugs_in = 0;
  int cavity_plugs_out = 0;
};

tl::expected<MovePlan, Problem> order_moves(const MoveRequest& request);

// The other way: an adapter lead between the old plugs and the donor module. Counted, not drawn.
struct AdapterLead {
  int wires = 0;                    // circuits that pass through
  int crossed = 0;                  // of these, not straight through
  int joints = 0;                   // crimped or plugged contacts that it adds
  bool reversible = true;           // the vehicle's loom stays as found
  std::vector<std::string> limits;  // what an adapter cannot do here, in words
};
AdapterLead adapter_lead(const MoveRequest& request, int kept);

const char* name_of(MoveAction action);

}  // namespace loomgraft
