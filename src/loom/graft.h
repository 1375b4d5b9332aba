// The graft document: everything known about one job, as plain data.
//
// Model   modules with pins, connectors with their geometry, the loom's wires as found, devices, places and
//         paths, the plan, sources and readings. As planned = as found + plan is derived by as_planned() and
//         never stored.
// Needs   ids are unique within their list; a reference names an id of the right list. validate() is the
//         gatekeeper.
// Gives   absent facts are empty strings, std::nullopt or PinClass::unknown: never a made-up default
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "standards/pin_class.h"
#include "text/colour.h"
#include "units/quantity.h"

namespace loomgraft {

// ---- sources and claims
// -----------------------------------------------------------------------------------------

enum class SourceKind { unknown, manual, chart, photo, wire, measurement };

struct Source {
  std::string id;
  std::string title;
  SourceKind kind = SourceKind::unknown;
  double weight = 1.0;  // relative trust, > 0
  std::string market;
  std::string generation;
  std::string years;  // "1998-2001"
  bool operator==(const Source&) const = default;
};

// What one source says of one pin. Claims of several sources live side by side.
struct Claim {
  std::string source;  // id of a Source
  int line = 0;        // where in that source, 0 is unknown
  int column = 0;
  std::string signal;
  PinClass pin_class = PinClass::unknown;
  Colour colour;
  bool proved = false;     // seen or measured on this vehicle
  std::string place = {};  // where a person finds it: "sheet Pins, B7"; empty where the line says it
  bool operator==(const Claim&) const = default;
};

// ---- connectors
// -------------------------------------------------------------------------------------------------

// The side a connector is looked at from. It is a mandatory fact: a row means nothing without it.
enum class View { unknown, wire_entry, mating };
enum class Side { unknown, top, bottom, left, right };

// One row of cavities, left to right in the connector's view. An empty name is a gap of one pitch.
struct CavityRow {
  std::vector<std::string> cavities;
  Metres x;               // centre of the first place, from the left edge of the leftmost row
  Metres y;               // centre of the row, downwards
  Metres pitch;           // > 0
  Metres terminal_width;  // nominal blade or pin width: 0.64, 1.5, 2.8, 6.3 mm ...
  bool operator==(const CavityRow&) const = default;
};

struct Connector {
  std::string id;    // unique in the graft
  std::string name;  // as the trade calls it: "C2", "X40"
  std::string part;  // housing part number where known
  std::string housing_colour;
  View view = View::unknown;   // the view in which `rows` are listed
  Side latch = Side::unknown;  // where the locking tab is, in that view
  std::string keying;
  std::string origin;  // where cavity 1 is, as the source says
  bool sealed = false;
  bool rows_guessed = false;  // geometry laid out by the program, not taken from a source
  // Id of the connector this one plugs into, in the middle of a loom; cavities of one name meet. A module's
  // own connector mates with the module and says nothing.
  std::string mates;
  std::string place;  // LoomPlace id; a module's plugs are where the module is
  std::vector<CavityRow> rows;
  bool operator==(const Connector&) const = default;
};

// A place for one terminal.
struct CavityRef {
  std::string connector;  // Connector::id
  std::string cavity;
  auto operator<=>(const CavityRef&) const = default;
};

// ---- modules
// ----------------------------------------------------------------------------------------------------

enum class ModuleRole { other, found, donor };

struct ModuleTags {
  std::string generation;    // the maker's hardware or software generation
  std::string diagnostics;   // "OBD-I", "OBD-II", "none"
  std::string years;         // "1998-2001"
  std::string market;        // region letters: "EU", "US", "JP"
  std::string transmission;  // "manual", "automatic"
  std::string board;         // number on the board, which case labels do not replace
  bool operator==(const ModuleTags&) const = default;
};

struct PinLimits {
  std::optional<Amperes> current;  // continuous, sink or source
  std::optional<Volts> voltage;    // highest the pin withstands
  std::optional<Joules> clamp_energy;
  bool operator==(const PinLimits&) const = default;
};

struct Pin {
  CavityRef at;
  std::string signal;  // as its source words it
  std::string term;    // normalised, empty where none fits
  PinClass pin_class = PinClass::unknown;
  Colour colour;  // of the wire in this cavity
  std::string note;
  std::string far_end;            // what is at the other end of the wire, as text or as a device id
  std::optional<bool> populated;  // a terminal sits in the loom's plug
  std::optional<bool> hardware;   // circuitry stands behind the module's pin
  std::optional<bool> software;   // the module's program uses it
  std::string bias;               // "pull-up 5 V 1 kohm", as the source says
  PinLimits limits;
  bool forbidden = false;  // restraint or high-voltage circuit: never probed, cut or planned
  std::vector<Claim> claims;
  std::vector<std::string> doubts;  // why this reading of the source may be wrong
  bool operator==(const Pin&) const = default;
};

struct Module {
  std::string id;
  std::string name;
  ModuleRole role = ModuleRole::other;
  ModuleTags tags;
  std::vector<std::string> connectors;  // ids, in the module's order
  std::vector<Pin> pins;
  std::vector<std::string> legend;  // lines of the source that explain names ("CAN2: body")
  std::optional<Volts> rated;       // nominal supply that it is made for: 12 V, 24 V
  bool operator==(const Module&) const = default;
};

// ---- the loom
// ---------------------------------------------------------------------------------------------------

// One end of a wire: a cavity of a connector, or a terminal of a device (terminal in `cavity`, device id in
// `at`).
struct WireEnd {
  std::string at;  // connector or device id; empty is an end nobody has followed
  std::string cavity;
  auto operator<=>(const WireEnd&) const = default;
};

struct Wire {
  std::string id;
  std::string signal;
  WireEnd from;
  WireEnd to;
  Colour colour;
  std::optional<SquareMetres> area;
  std::optional<Metres> length;
  std::string insulation;          // cable type or temperature class
  std::vector<std::string> along;  // path ids, in order
  std::string twist;               // wires of the same text here are twisted together
  bool guessed = false;            // a recipe proposed where it goes; nobody has looked yet
  bool operator==(const Wire&) const = default;
};

// What a wire ends at that is no module: a consumer, switch, sensor, fuse, relay, joint, earth or battery.
// Values measured here override the catalogue's values for the model, and those override the default values of the
// kind.
struct Device {
  std::string id;
  std::string name;
  std::string kind;                    // a row of data/device_kinds.csv
  std::string model;                   // an entry of data/devices/*.csv, or empty
  std::vector<std::string> terminals;  // DIN 72552 numbers where they exist; empty: those of the kind
  std::optional<Ohms> resistance;      // at 20 C
  std::optional<Henries> inductance;
  std::optional<Amperes> rating;       // a fuse's rating; what contacts carry
  std::optional<Amperes> current;      // what it draws when it works
  std::optional<Volts> pull_in;        // it works from here up, at 20 C
  std::optional<Volts> release;        // and releases below this
  std::optional<bool> closed_at_rest;  // contacts
  std::optional<Volts> rated;          // nominal supply that it is made for: 12 V, 24 V
  std::optional<Volts> withstands;     // highest volts across it that its maker states, if only for a moment
  std::string suppression;             // across a coil: "none", "diode", "resistor"; empty: not known
  std::string place;                   // Place id
  std::string recipe;                  // the row of data/recipes.csv that proposed it, or empty
  bool guessed = false;                // proposed as part of the vehicle as found; nobody has looked yet
  bool forbidden = false;              // restraint or high-voltage: never designed, probed, cut
  bool operator==(const Device&) const = default;
};

struct LoomPlace {
  std::string id;
  std::string name;
  std::optional<Celsius> hottest;
  bool wet = false;
  bool moving = false;
  std::optional<Seconds> access;  // to get at it and close it again: trim, carpet, a wheel
  std::optional<double> along;    // where it is on a plan of the vehicle: 0 front, 1 rear
  std::optional<double> across;   // 0 left, 1 right, seen in the direction of travel
  bool operator==(const LoomPlace&) const = default;
};

struct LoomPath {
  std::string id;
  std::string from;  // LoomPlace ids
  std::string to;
  std::optional<Metres> length;
  std::optional<Metres> shortest;  // where the length is a guess: the interval that it lies in
  std::optional<Metres> longest;
  std::optional<Celsius> hottest;
  std::optional<Metres> opening;  // free diameter of a grommet on the way
  std::string caution;            // "sharp edge", "exhaust at 150 mm"
  bool operator==(const LoomPath&) const = default;
};

// ---- plan, readings
// ---------------------------------------------------------------------------------------------

enum class PlanAction { move, add, retire };

// One change to the loom. move: the end of `wire` at `from` goes to `to`. add: `added` appears. retire:
// `wire` leaves.
struct PlanStep {
  PlanAction action = PlanAction::move;
  std::string wire;  // Wire::id
  WireEnd from;
  WireEnd to;
  std::optional<Wire> added;
  std::string reason;
  bool operator==(const PlanStep&) const = default;
};

struct Reading {
  std::string id;
  std::string test;
  double value = 0.0;
  std::string unit;
  std::string author;
  std::string time;           // RFC 3339, given from outside
  bool practice = false;      // shown by the practice meter: nothing was measured
  bool in_band_only = false;  // a person said "in band" without a value; the value is the test's nominal one
  bool operator==(const Reading&) const = default;
};

// Earlier versions of the page marked readings in their ids, which begin with "practice-", "in-band-" or
// "practice-in-band-". Sets the two fields of such a reading; every reading from outside passes through here.
void set_marks_from_id(Reading& reading);

// The practice readings, or the measured ones.
std::vector<Reading> readings_of(const std::vector<Reading>& readings, bool practice);

// A limit of the rule set that this job overrides, and why.
struct RuleOverride {
  std::string rule;  // a name of data/rules/*.json
  double value = 0.0;
  std::string reason;
  bool operator==(const RuleOverride&) const = default;
};

struct Rules {
  std::string set;  // "passenger_vehicle", ...; empty: by the vehicle's supply
  std::vector<RuleOverride> overrides;
  bool operator==(const Rules&) const = default;
};

enum class KeyPosition { on, off, crank };

// A condition in which the loom is solved: battery, key, what is unplugged, switches, outputs and temperature.
struct Condition {
  std::string name;
  bool battery_off = false;
  KeyPosition key = KeyPosition::on;
  std::optional<Volts> supply;         // at the battery's posts; else the default value of the key position
  std::optional<Celsius> ambient;      // where a place or path gives none
  std::vector<std::string> worked;     // ids of devices worked by hand or by the machine: switches, sensors
  std::vector<CavityRef> driven;       // module pins whose output is on; all others are off
  std::vector<std::string> unplugged;  // ids of connectors that are apart
  std::vector<std::string> removed;    // ids of devices out of their sockets: fuses, relays
  bool operator==(const Condition&) const = default;
};

struct Vehicle {
  std::string name;
  Volts supply{12.0};  // nominal: 12 V or 24 V
  std::string market;
  std::string years;
  std::string transmission;
  std::string diagnostics;
  std::string shape;  // "van", "car", "pickup" ...: a vehicle of data/place_distances.csv, or empty
  bool operator==(const Vehicle&) const = default;
};

// Who the work is for, and when. Text for people; nothing is computed from it.
struct JobData {
  std::string customer;
  std::string number;        // of the job, as the workshop counts
  std::string registration;  // of the vehicle
  std::string chassis;       // vehicle identification number
  std::string by;            // who does the work
  std::string date;          // begun, RFC 3339 date
  std::string note;
  bool operator==(const JobData&) const = default;
};

// A circuit that another controller uses too ("gearbox controller reads engine speed").
struct SharedCircuit {
  std::string signal;
  std::string module;  // Module id or name of the other controller
  bool operator==(const SharedCircuit&) const = default;
};

// What a person found out about a pin of the vehicle and a pin of a donor: one circuit, or two.
struct CircuitAnswer {
  std::string id;
  CavityRef found;
  CavityRef donor;
  bool different = false;  // else they are the same circuit
  bool operator==(const CircuitAnswer&) const = default;
};

enum class SafetySubject { pin, device, wire, module, connector };

// What a person found out about a part whose words name a restraint or high-voltage circuit (loom/forbidden.h).
struct SafetyAnswer {
  std::string id;
  SafetySubject subject = SafetySubject::pin;
  WireEnd at;             // the id of what it is; a cavity for a pin only
  std::string said;       // the text that was asked about
  bool harmless = false;  // it belongs to no such circuit; else it does
  std::string by;
  std::string time;  // RFC 3339
  std::string note;  // how it was found out
  bool operator==(const SafetyAnswer&) const = default;
};

struct Graft {
  std::string title;
  JobData job;
  Vehicle vehicle;
  std::vector<Source> sources;
  std::vector<Connector> connectors;
  std::vector<Module> modules;
  std::vector<SharedCircuit> shared_circuits;
  std::vector<CircuitAnswer> circuit_answers;
  std::vector<SafetyAnswer> safety_answers;
  std::vector<Device> devices;
  std::vector<Wire> wires;  // as found
  std::vector<LoomPlace> places;
  std::vector<LoomPath> paths;
  std::vector<PlanStep> plan;
  Rules rules;
  std::vector<Condition> conditions;  // named by the user; the standard ones need no entry
  std::vector<Reading> readings;
  bool operator==(const Graft&) const = default;
};

const Module* find_module(const Graft& graft, std::string_view id);
const Connector* find_connector(const Graft& graft, std::string_view id);

}  // namespace loomgraft
