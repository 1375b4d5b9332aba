// From a loom and a condition to an electrical network, and its solution.
//
// Model   nodes are terminals: a cavity has a node on the wire and one on the module or the mating half, a
//         device one for each terminal; node 0 is the vehicle's body. Elements: wires (r20 * length *
//         (1 + alpha (T - 20))), contacts, splices, earth joints, fuses, coils, lamps, diodes, contacts of
//         switches and relays, drivers and inputs of modules by class (standards/pin_states.h), battery,
//         leakage of insulation. A module has an earth and a feed rail of its own: its drivers and inputs
//         refer to those, so current in a shared earth wire shifts what its inputs read.
// Needs   a graft; what it does not state is assumed and listed. Nothing in it may be forbidden to be solved.
// Gives   a circuit whose every branch names what it represents; the list of assumptions
// Fails   Problems for impossible entries (a device of unknown kind, contradictory switch states); the rest
//         of the network is built. A dead short is a result, not a failure.
// Cost    linear in the loom
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "base/problem.h"
#include "circuit/circuit.h"
#include "loom/graft.h"
#include "loom/plan.h"

namespace loomgraft {

// Which end of every spread is used. `weakest`: lowest supply, hottest copper, highest joints and
// resistances. `strongest`: highest supply, coldest copper, lowest joints and resistances.
enum class Corner { nominal, weakest, strongest };

enum class LoomState { as_found, as_planned };

// One assumed figure at another end of its spread than the rest (for network/assumption_effects.h), or all of them.
struct OneCorner {
  std::string subject;  // as in Assumption; empty: every assumed figure
  std::string quantity;
  Corner corner = Corner::nominal;
};

struct NetworkOptions {
  LoomState loom_state = LoomState::as_planned;
  Corner corner = Corner::nominal;
  std::optional<OneCorner> one{};
  // A crimp of its own between each wire and its terminal, a node for every cavity whether a wire is in it
  // or not, and a face to every open plug: so that a wire can leave its cavity. Then node_at() is the
  // terminal as a probe from the wire's side touches it, face_node_at() as one from the front does.
  bool crimps = false;
};

enum class BranchKind {
  wire,
  contact,  // terminal in its cavity, both halves mated
  joint,    // splice or earth joint
  fuse,
  consumer,  // resistor, coil, motor, lamp, another controller
  contacts,  // of a switch or relay
  diode,
  sensor,
  pin,     // inside a module: driver, input, rail
  supply,  // battery, alternator
  leakage,
  meter
};

struct NetworkNode {
  // Connector or device, and cavity or terminal; a module and "earth", "battery feed" or "switched feed" for
  // its rails; empty for other nodes inside.
  WireEnd at;
  bool module_side = false;  // the module's or mating half's side of a contact
  std::string name;          // for people: "C2 14", "valve 1", "body"
};

enum class ElementList { resistor, source, diode };

struct NetworkBranch {
  BranchKind kind = BranchKind::wire;
  std::string subject;  // id of the wire or device; "connector:cavity" for a pin or contact
  std::string name;     // for people
  NodeId a;
  NodeId b;
  ElementList list = ElementList::resistor;  // which list of the circuit holds it, and where
  std::size_t index = 0;
  std::optional<Amperes> rating;  // of a fuse or contacts; of a module pin's contact what the pin carries
  std::optional<Ohms> turned{};   // of contacts worked by hand only: ohms in their other position
};

// Contacts that follow the volts across a coil: a relay. A module's internal 5 V supply is modelled as one
// too, under the id of the module: it runs while the feed is high enough.
struct NetworkRelay {
  std::string device;
  NodeId coil_a;
  NodeId coil_b;
  Volts pull_in;  // at the coil's temperature in this corner
  Volts release;
  std::vector<std::size_t> make;    // branches closed when it has pulled in
  std::vector<std::size_t> break_;  // branches closed at rest
  Ohms closed;
  Ohms open;
};

// A fact that nobody stated, and the value used instead.
struct Assumption {
  std::string subject;   // id of the wire, device, connector:cavity, or "vehicle"
  std::string quantity;  // "length", "resistance", "kind"
  std::string value;     // "2 m", "joined to the body"
  std::string why;
  bool operator==(const Assumption&) const = default;
};

// The end of a wire in its terminal.
struct CrimpAt {
  std::string wire;
  WireEnd end;
  auto operator<=>(const CrimpAt&) const = default;
};

struct LoomNetwork {
  Circuit circuit;
  std::vector<NetworkNode> nodes;  // by NodeId
  std::vector<NetworkBranch> branches;
  std::vector<NetworkRelay> relays;
  std::vector<Assumption> assumptions;
  Problems problems;
  std::map<WireEnd, NodeId> end_nodes;    // see node_at()
  std::map<WireEnd, NodeId> inner_nodes;  // see inner_node_at()
  std::map<WireEnd, NodeId> face_nodes;   // see face_node_at()
  std::map<CrimpAt, std::size_t> crimps;  // branches, where NetworkOptions::crimps is set
};

LoomNetwork network_of(const Graft& graft, const Condition& condition, const NetworkOptions& options = {});

// The loom in one state, indexed, for callers who need many networks of it (network/frame.h). Refers into the
// graft, which must outlive it.
struct LoomFrame;
struct ForbiddenParts;
std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, LoomState loom_state);
// Of the planned loom, for a caller who has applied the plan already.
std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, PlannedWires planned);
// And who knows what is forbidden in this graft.
std::shared_ptr<const LoomFrame> frame_of(const Graft& graft, PlannedWires planned,
                                          const ForbiddenParts& forbidden);
// The network of the frame's loom state; that of the options is ignored.
LoomNetwork network_of(const LoomFrame& frame, const Condition& condition,
                       const NetworkOptions& options = {});

enum class RelayPosition { at_rest, pulled_in, oscillating };

struct NetworkSolution {
  OperatingPoint point;
  std::vector<RelayPosition> relays;  // by LoomNetwork::relays
  Problems problems;                  // such as an oscillating relay
};

// Relay positions consistent with the volts across their coils, starting from all at rest. A relay without a
// consistent position is reported as oscillating, with the last point found.
tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network);
// The same with the solver's work space kept between networks of one shape.
// `near`: a solution that may be similar; it saves time and does not change the result.
tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network, Solver& solver,
                                             const NetworkSolution* near = nullptr);

// The node of a cavity (on the wire's side) or of a device terminal.
std::optional<NodeId> node_at(const LoomNetwork& network, const WireEnd& end);
// The node behind the contact: the module's side.
std::optional<NodeId> inner_node_at(const LoomNetwork& network, const WireEnd& end);

// The front of a cavity of a plug that is open; nothing where the plug is mated.
std::optional<NodeId> face_node_at(const LoomNetwork& network, const WireEnd& end);

// Current from a to b of a branch, and the power it turns into heat (of a source: negative where it feeds).
Amperes branch_current(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch);
Watts branch_power(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch);

// Current beyond the rating, if it has one.
bool is_overloaded(const LoomNetwork& network, const NetworkSolution& solution, std::size_t branch);

enum class MeterKind { volts, ohms, amperes };
// Puts a meter between two nodes: 10 MΩ in volts, test volts behind a resistance in ohms, a shunt in
// amperes. Returns its branch.
std::size_t add_meter(LoomNetwork& network, NodeId red, NodeId black, MeterKind kind);

}  // namespace loomgraft
