// The order in which terminals are moved from cavity to cavity, retired and added.
//
// Model   shifts form paths and cycles over cavities. A cycle needs one terminal parked outside; nothing else
//         does. What is not named in the request stays where it is.
// Needs   no cavity is the target of two changes or of a kept terminal, no terminal leaves twice (checked)
// Gives   the fewest extractions and insertions: one of each for a shift, one parking for each cycle. At no
//         step do two terminals sit in one cavity; a parked or retired terminal is insulated before the next
//         step. Connector by connector, cavities in natural order (2 before 10); in each connector first what
//         can move at once, then the cycles; additions come last. In sealed connectors a cavity that was
//         empty loses its plug before it is filled, and a cavity that stays empty gets one.
// Fails   Problem "move-collision" for contradictory input, "move-no-cavity" where a cavity has no name
// Cost    O(n log n)
#pragma once

#include <map>
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
  std::string loses{};  // what the vehicle cannot do any more without it, for people
};

struct MoveRequest {
  std::vector<Shift> shifts;  // a shift onto its own cavity is no change and takes no step
  std::vector<Loose> retirements;
  std::vector<Loose> additions;
  // Ids: an empty cavity there holds a plug, moved terminals need a fresh seal check.
  std::vector<std::string> sealed_connectors;
  // Cavities whose terminals stay. Only to refuse a change that would land on one; may be left empty.
  std::vector<CavityRef> kept;
  // What notes and problems call a connector, by its id; one without a name there goes by its id.
  std::map<std::string, std::string> connector_names{};
};

enum class MoveAction { retire, park, move, insert_parked, add, plug_cavity, unplug_cavity };

struct MoveStep {
  int step = 0;  // from 1
  MoveAction action = MoveAction::move;
  CavityRef from;  // empty connector: no cavity (parked, new, or a cavity plug)
  CavityRef to;
  std::string signal;
  std::string note;       // what to do by hand: insulate, seal, plug
  std::string loses{};    // of a retirement: what the vehicle cannot do any more, for people
  bool insulate = false;  // the terminal is loose after this step and is insulated at once
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

// Simulates the steps. Gives what is wrong with them: nothing where the loom ends as requested and no step
// put two terminals into one cavity, took one from an empty cavity or left one loose without insulation. The
// pointer of a problem's location is "/steps/N", N from 0.
Problems replay(const MoveRequest& request, const MovePlan& plan);

// The other way: an adapter lead between the old plugs and the donor module. Counted, not drawn.
struct AdapterLead {
  int wires = 0;                    // circuits that pass through
  int crossed = 0;                  // of these, not straight through
  int joints = 0;                   // crimped or plugged contacts that it adds
  bool reversible = true;           // the vehicle's loom stays as found
  std::vector<std::string> limits;  // what an adapter cannot do here, for people
};
AdapterLead adapter_lead(const MoveRequest& request, int kept);

const char* name_of(MoveAction action);

}  // namespace loomgraft
