// Everything that can be wrong with a loom, one mistake at a time, and what each does to a network.
//
// Model   a fault is a fact about the loom (a terminal unseated, two wires swapped) that is true in every
//         condition; changes_of() says what it changes in one network. Networks in which faults are looked
//         for are built with NetworkOptions::crimps, so that a wire can leave its cavity: wire - crimp -
//         terminal - contact - module. Probes touch terminals: node_at() of a cavity.
// Needs   a graft; neighbours come from face geometry, bundles from the paths that wires share
// Gives   faults in the loom's order, each with its prior odds. Nothing forbidden is among
//         the subjects.
// Cost    linear in the loom and in the neighbours of each cavity
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft {

enum class FaultKind {
  wire_open,
  terminal_unseated,  // or not crimped: the contact is open
  bad_joint,          // a contact, crimp, splice or earth joint with resistance added
  short_to_earth,
  short_to_supply,
  bridged_cavities,   // neighbours in a plug: whisker, bent pin, solder
  chafed_together,    // two wires of a bundle
  swapped_wires,      // two terminals of a plug in each other's cavity
  one_cavity_off,     // a terminal in the empty cavity beside its own
  mirrored_plug,      // every terminal of a plug in the cavity that mirrors its own
  opposite_contacts,  // normally open where normally closed belongs, or the other way round
  reversed_diode,
  missing_pull_up,
  dead_driver,
  blown_fuse,
  open_device,         // its coil, element or sensor is open inside, or it is missing
  thin_wire,           // less copper than planned, or strands cut
  intermittent_joint,  // opens only when it is moved: see is_intermittent()
  leak_to_earth,       // damp
  leak_between,        // damp between neighbours in a plug
  shield_earthed_twice,
  two_in_cavity,       // a terminal in a cavity beside its own that holds another
  plug_open,           // not pushed home
  wrong_fuse,          // a wire at the terminal of another fuse
  wrong_rating,        // a fuse of another rating: no meter sees it
  wrong_earth,         // a wire at another earth point
  coil_for_24_v,       // of a relay in a 12 V vehicle
  coil_for_12_v,       // of a relay in a 24 V vehicle
  resistor_too_large,  // a band of its colour code misread
  resistor_too_small,
  stuck_driver,    // an output that is always on
  leaking_driver,  // an output that never opens fully
  blown_input      // an input shorted inside its module
};
inline constexpr std::size_t fault_kinds = static_cast<std::size_t>(FaultKind::blown_input) + 1;
const char* name_of(FaultKind kind);

// The harm a fault can do if power meets it, in rising order.
enum class Harm { none, false_signal, damage, fire };
const char* name_of(Harm harm);

// What a fault is at.
struct FaultSubject {
  enum class Kind { wire, device, connector, end };
  Kind kind = Kind::wire;
  std::string id;  // of the wire, device or connector
  WireEnd end;     // a cavity or terminal
  bool operator==(const FaultSubject&) const = default;

  static FaultSubject wire(std::string id) { return {Kind::wire, std::move(id), {}}; }
  static FaultSubject device(std::string id) { return {Kind::device, std::move(id), {}}; }
  static FaultSubject connector(std::string id) { return {Kind::connector, std::move(id), {}}; }
  static FaultSubject at(WireEnd end) { return {Kind::end, {}, std::move(end)}; }
};
// As ids and reports write it: "W12", "C3:1".
std::string subject_id(const FaultSubject& subject);

struct Fault {
  std::string id;  // stable for one graft: "unseated C1:3", "swapped C1:3 C1:4"
  FaultKind kind = FaultKind::wire_open;
  std::vector<FaultSubject> subjects;
  std::string text;          // "the terminal of wire W12 is not seated in C1-3"
  std::string repair;        // id of the repair; faults with the same repair need not be told apart
  std::string repair_text;   // "reseat or remake the terminal in C1-3"
  double prior = 0.0;        // odds to one that it is there before anything is measured, > 0
  std::string prior_source;  // where the figure is from
  Harm harm = Harm::none;    // the worst in any condition tried; set by judge_harm()
  bool added = false;        // on a wire that the plan adds or moves
  Ohms ohms;  // added by a bad joint, or of a bridge; zero: the default value (data/network_figures.csv)
  std::string joint_text{};  // of a bad joint with a range of ohms: the text without them
  Ohms up_to;                // the fault may have any resistance from `ohms` to this; zero: only `ohms`
  bool matters = true;  // false for a joint whose ohms are too few to do anything: no test is planned for it
  Watts heat;           // the most that a bad joint of such a resistance turns into heat; zero: unknown
};

// Whether it could burn or break something if power meets it.
inline bool is_harmful(const Fault& fault) {
  return fault.harm >= Harm::damage;
}

// A fault that shows only while somebody moves the joint; a meter at rest reads as in a healthy loom.
inline bool is_intermittent(const Fault& fault) {
  return fault.kind == FaultKind::intermittent_joint;
}

struct FaultOptions {
  bool whole_loom = false;  // else what the plan adds, moves or shares a net with
  double joint_ohms = 0.0;  // added by a bad joint; zero: the default value
};

// The frame is of the planned loom.
std::vector<Fault> faults_of(const LoomFrame& frame, const FaultOptions& options = {});
std::vector<Fault> faults_of(const Graft& graft, const FaultOptions& options = {});

// ---- the same in one network ----

struct BranchChange {
  std::size_t branch = 0;  // of LoomNetwork::branches, a resistor
  Ohms resistance;         // from now on; infinity opens it
};
struct Bridge {
  NodeId a;
  NodeId b;
  Ohms resistance;
};
struct SourceChange {
  std::size_t branch = 0;  // a source or diode that is removed, or a diode that is reversed
  bool reversed = false;
};
struct NetworkChange {
  std::vector<BranchChange> branches;
  std::vector<Bridge> bridges;
  std::vector<SourceChange> sources;
  std::vector<std::size_t> relays_opposite;  // relays whose make and break contacts are exchanged

  bool empty() const {
    return branches.empty() && bridges.empty() && sources.empty() && relays_opposite.empty();
  }
  bool is_linear() const { return sources.empty() && relays_opposite.empty(); }
};

// One for each fault, empty where it changes nothing in this network (its fuse is out, its plug is apart).
// Of a fault with a range of ohms, at its lowest. Needs a network with NetworkOptions::crimps.
std::vector<NetworkChange> changes_of(const std::vector<Fault>& faults, const LoomNetwork& network);

// The changed network, for a full solve. Bridges are added after the last branch.
LoomNetwork changed(const LoomNetwork& network, const NetworkChange& change);

}  // namespace loomgraft
