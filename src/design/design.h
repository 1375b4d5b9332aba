// The design of every circuit that the plan adds or alters: sizes that hold, what binds them, what is wrong.
//
// Model   the planned loom is solved in a few conditions (everything on; switches open; those the job names)
//         at both corners of its spreads; each check takes the worst of them. Wires that state no size take
//         the smallest stock size at which everything holds that a size can mend; a stated size is checked
//         as it stands, and the smallest that would hold stands beside it.
// Needs   a graft that validate() accepts; missing facts are assumed and listed
// Gives   for every circuit its checks, each with value, limit, margin, formula and source; remedies solved
//         again where a driver, a clamp or a shared earth is over its limit; feeds that come back where none
//         should, in every key position
// Fails   never: what cannot be designed (forbidden, a network that cannot be solved) is a Problem. `stopped`
//         and nothing else where options.stop asked for it on the way
// Cost    some tens of solves of the network
// Method  docs/engine-design.md
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "heat/protection.h"
#include "loom/graft.h"
#include "network/loom_network.h"
#include "base/problem.h"
#include "base/stop.h"
#include "units/quantity.h"

namespace loomgraft {

enum class CheckKind {
  wire_drop,       // volts lost in one wire
  path_drop,       // volts lost on the whole way, there and back
  contact_drop,    // volts lost in closed contacts
  pull_in,         // volts at a coil that must work hot at low battery
  heat,            // conductor in its bundle
  protection,      // fuse against wire
  fuse_of_wire,    // fuse against what the wire carries for good
  fuse_load,       // fuse against load
  motor_contacts,  // rating of the contacts that switch a motor
  motor_wire,      // what the wires of a motor carry
  motor_start,     // fuse against the motor's start
  motor_alone,     // other load on the motor's fuse
  driver_current,  // pin against load
  clamp_energy,    // pin against coil
  level_closed,    // input with its switch closed
  level_open,      // and open
  wetting,         // current that keeps contacts clean
  earth_offset,    // what actuators put on a sensor's earth
  smallest_size,   // mechanical minimum
  terminal_fit     // terminal and seal that take the wire
};
const char* name_of(CheckKind kind);
std::string words_of(CheckKind kind);  // "volts lost in the wire"

struct WhyInput {
  std::string name;
  std::string value;
  std::string from;  // where the value comes from
};

struct Why {
  std::string formula;
  std::string source;
  std::vector<WhyInput> inputs;
};

struct Check {
  CheckKind kind = CheckKind::wire_drop;
  std::string subject;    // id of the wire or device, or "connector:cavity"
  std::string text;      // what is compared with what
  std::string condition;  // where it is worst
  double value = 0.0;
  double limit = 0.0;
  std::string unit;
  bool at_most = true;  // the value may be at most the limit; else at least
  double margin = 0.0;  // distance to the limit as a share of it; below zero where it does not hold
  bool passes = true;
  bool deciding = false;    // it set the size of its wire or fuse, or holds least
  bool assumed = false;  // something nobody stated takes part
  Why why;
};

// A wire and the fuse that a short in it would blow, for the plot of one against the other.
struct WireProtection {
  std::string fuse;  // device id
  const FuseFamily* family = nullptr;
  Amperes rating;
  ProtectionQuestion question;
  Protection verdict;
};

struct WireDesign {
  std::string wire;
  std::string signal;
  Metres length;
  bool length_assumed = false;
  std::optional<SquareMetres> stated;  // by the plan
  SquareMetres smallest;                  // smallest stock size at which everything holds that a size can mend
  std::string smallest_awg;
  std::string limited_by;  // what the next smaller size breaks, in words
  std::string insulation;
  bool insulation_assumed = false;
  std::string insulation_needed;  // least class that stands the conductor, where the present one does not
  Amperes current;                // most in any condition
  Celsius conductor;              // then
  Metres outer_diameter;
  Metres bend_radius;
  std::optional<Newtons> pull_force;  // a crimp of this size must stand
  std::optional<WireProtection> protection;
};

struct FuseDesign {
  std::string device;
  Amperes load;
  std::optional<Amperes> stated;
  Amperes smallest;  // rating that carries the load
};

enum class RemedyKind { relay, diode, separate_earth, pull_up };
const char* name_of(RemedyKind kind);

// A change that mends what a size cannot, solved again.
struct Remedy {
  RemedyKind kind = RemedyKind::relay;
  std::string subject;
  std::string text;         // what to do
  std::string trade_off;        // what it costs: a longer drop-out, one more part to fail
  std::vector<Check> after;  // of the checks that failed, and of the new parts
  bool passes = false;
};

struct CircuitDesign {
  std::string id;  // of its device, or of its wire
  std::string name;
  std::vector<WireDesign> wires;
  std::vector<FuseDesign> fuses;
  std::vector<Check> checks;
  std::vector<Remedy> remedies;
  bool passes = true;
};

// Current where none should be.
struct BackFeed {
  std::string condition;
  std::string subject;
  std::string text;
  Amperes current;
};

struct DesignReport {
  std::string rule_set;
  std::vector<CircuitDesign> circuits;
  std::vector<BackFeed> back_feeds;
  std::vector<Assumption> assumptions;
  Problems problems;
  bool passes = true;
};

struct DesignOptions {
  bool remedies = true;     // look for them; off when a remedy itself is judged
  bool size_stated = true;  // say of wires whose size the plan states what would do; off likewise
  bool back_feeds = true;   // solve every key position for them; off likewise
  std::stop_token stop{};
};

DesignReport design_circuits(const Graft& graft, const DesignOptions& options = {});

}  // namespace loomgraft
