// The design of every circuit that the plan adds or alters: wire and fuse sizes that pass all checks, what decides
// them, what fails.
//
// Model   the planned loom is solved in a few conditions (everything on; switches open; those the job names)
//         at both corners of its spreads; each check takes the worst of them. A wire without a stated size gets
//         the smallest stock size with which every check passes that a size can make pass. A stated size is
//         checked as it is, and the smallest that passes is given beside it.
// Needs   a graft that validate() accepts; missing facts are assumed and listed
// Gives   for every circuit its checks, each with value, limit, margin, formula and source; remedies, designed
//         again, where a driver, a clamp or a shared earth is over its limit; back-feeds in every key position
// Fails   never: what cannot be designed (forbidden, a network that cannot be solved) is a Problem. Only the
//         problem `stopped` if options.stop asked for it on the way
// Cost    some tens of solves of the network
// Method  docs/engine-design.md
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "base/stop.h"
#include "heat/protection.h"
#include "loom/graft.h"
#include "network/loom_network.h"
#include "units/quantity.h"

namespace loomgraft {

enum class CheckKind {
  wire_drop,         // volts lost in one wire
  path_drop,         // volts lost on the whole path, there and back
  contact_drop,      // volts lost in closed contacts
  pull_in,           // volts at a coil that must work hot at low battery
  heat,              // conductor in its bundle
  protection,        // fuse against wire
  lead_current,      // wire ahead of a fuse against what that fuse lets through for good
  fuse_of_wire,      // fuse against what the wire carries permanently
  fuse_load,         // fuse against load
  fuse_breaking,     // fuse against the short that it must interrupt
  fuse_inrush,       // fuse against the inrush of a cold lamp
  motor_contacts,    // rating of the contacts that switch a motor
  motor_wire,        // what the wires of a motor carry
  motor_start,       // fuse against the motor's start
  motor_alone,       // other load on the motor's fuse
  driver_current,    // pin against load
  driver_inrush,     // pin against a cold lamp or a motor that stands
  contact_current,   // contacts of a switch or relay against their load
  contact_inrush,    // and against the inrush of a cold lamp
  terminal_current,  // terminal against what flows through it
  hold,              // volts at a relay's coil while the starter turns
  clamp_energy,      // pin against coil
  level_closed,      // input with its switch closed
  level_open,        // and with it open
  wetting,           // current that keeps contacts clean
  earth_offset,      // shift of a sensor's earth by the currents of actuators
  rated_volts,       // volts that a part meets against those it is made for
  load_dump,         // peak when the battery's lead comes off a running alternator
  jump_start,        // volts of a stronger battery that starts the vehicle
  reversed_battery,  // a diode across the supply against the fuse that must open
  smallest_size,     // mechanical minimum
  terminal_fit       // terminal and seal that take the wire
};
const char* name_of(CheckKind kind);
std::string text_of(CheckKind kind);  // "volts lost in the wire"

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

// What a check or a remedy is about: a wire or a device by id, or a pin by its cavity.
struct DesignSubject {
  enum class Kind { wire, device, pin };
  Kind kind = Kind::wire;
  WireEnd at;  // of a wire or device the id alone
  auto operator<=>(const DesignSubject&) const = default;
};
std::string id_of(const DesignSubject& subject);  // "w12", "Y20", "C3:1"

struct Check {
  CheckKind kind = CheckKind::wire_drop;
  DesignSubject subject;
  std::string text;       // what is compared with what
  std::string condition;  // where it is worst
  double value = 0.0;
  double limit = 0.0;
  std::string unit;
  bool at_most = true;  // the value may be at most the limit; else at least
  double margin = 0.0;  // distance to the limit as a share of it; below zero where the check fails
  bool passes = true;
  // False where the check does not pass, but only because of a default value of the part itself (what its coil pulls in at,
  // what its motor draws stalled), or where the solved network cannot tell: neither a pass nor a failure until measured.
  bool judged = true;
  bool deciding =
      false;  // it set the size of its wire, it fails, or it has the smallest margin of its circuit
  bool assumed = false;  // a default value takes part
  Why why;
};

// A wire and the fuse that a short in it would blow, for the plot of one against the other.
struct WireProtection {
  std::string fuse;  // device id
  const FuseFamily* family = nullptr;
  Amperes rating;
  double share = 1.0;  // of the wire's short that flows through this fuse
  ProtectionQuestion question;
  Protection verdict;
};

struct WireDesign {
  std::string wire;
  std::string signal;
  Metres length;
  Metres length_shortest;  // the interval that an assumed length lies in
  Metres length_longest;
  bool length_assumed = false;
  std::optional<SquareMetres> stated;  // by the plan
  std::string stated_awg;
  SquareMetres smallest;  // smallest stock size that passes, as far as a size can
  std::string smallest_awg;
  std::string limited_by;  // the check that the next smaller size would fail, as text
  std::string insulation;
  bool insulation_assumed = false;
  std::string insulation_needed;  // lowest class that withstands the conductor, if the present one does not
  Amperes current;                // largest in any condition
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
  Amperes needed;                      // the rating must be at least this
  std::optional<Amperes> smallest;     // rating on sale that carries the load; none: no family makes one
  const FuseFamily* family = nullptr;  // stated, or that of the rating, or that of the smallest
  bool family_assumed = false;
};

// A fact without which a circuit cannot be judged.
enum class MissingFact { end, load, length, value, rating };
const char* name_of(MissingFact fact);
struct Missing {
  MissingFact fact = MissingFact::end;
  std::string subject;  // id of a wire or device
  std::string text;
  auto operator<=>(const Missing&) const = default;
};

enum class RemedyKind { relay, diode, separate_earth, pull_up };
const char* name_of(RemedyKind kind);

// A change that makes a check pass where no size can, designed again.
struct Remedy {
  RemedyKind kind = RemedyKind::relay;
  DesignSubject subject;
  std::string text;          // what to do
  std::string trade_off;     // slower turn-off, one more part that can fail
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
  std::vector<Missing> missing;  // not empty: it neither passes nor is judged
  bool passes = true;            // every check that is judged, and nothing is missing
  bool judged = true;            // every check, and nothing is missing
};

// Current where none should be.
struct BackFeed {
  std::string condition;
  DesignSubject subject;
  std::string text;
  Amperes current;
};

// A check where an assumed figure is at the other end of its interval.
struct AssumedOtherwise {
  std::string instead;  // of what is assumed: "class A"
  std::string circuit;
  CheckKind kind = CheckKind::wire_drop;
  DesignSubject subject;
  double value = 0.0;
  double limit = 0.0;
  std::string unit;
  bool at_most = true;
  double margin_now = 0.0;
  double margin = 0.0;
  bool passes_now = true;
  bool passes = true;
};

struct DesignAssumption : Assumption {
  std::optional<AssumedOtherwise>
      outcome{};  // none: it moves no check that is near its limit, or nobody can tell
};

struct DesignReport {
  std::string rule_set;
  std::vector<CircuitDesign> circuits;
  std::vector<Missing>
      missing;  // ratings that nobody stated: one for a part; nothing is judged by them, no circuit fails
  std::vector<BackFeed> back_feeds;
  std::vector<DesignAssumption> assumptions;
  Problems problems;
  bool passes = true;
};

struct DesignOptions {
  // Off when a remedy itself is designed.
  bool remedies = true;     // look for remedies
  bool size_stated = true;  // find the smallest size of wires whose size the plan states as well
  bool back_feeds = true;   // look for back-feeds in every key position
  bool outcomes = true;     // say what each assumption does
  StopToken stop{};
};

DesignReport design_circuits(const Graft& graft, const DesignOptions& options = {});

// The graft with one of its remedies carried out, named as the report names it: its kind and its subject's id. Sizes of the
// new wires stay open. Nothing where the design offers no such remedy.
std::optional<Graft> with_remedy(const Graft& graft, std::string_view kind, std::string_view subject);

}  // namespace loomgraft
