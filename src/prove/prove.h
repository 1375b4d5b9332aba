// The quickest set of measurements that exposes every single fault in the planned loom.
//
// Model   conditions (what is unplugged, battery, key, jumpers) x points a probe can touch = tests; a test
//         exposes a fault where the fault's reading interval is clear of the healthy band. The plan is a set
//         cover with set-up, access and probe minutes, in an order in which whoever stops early stops well. A
//         condition that feeds power comes after every fault that could do harm in it is excluded.
// Needs   a graft. Forbidden circuits, known and presumed, are refused by name.
// Gives   every candidate test with its band, the plan in order, its minutes and a lower bound for any plan,
//         what no test can expose and what would help, the smallest added resistance in each joint that the
//         plan detects
// Fails   Problems; the rest of the plan is made all the same. Only the problem `stopped` if options.stop
//         asked for it on the way
// Cost    docs/prove.md
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "base/stop.h"
#include "loom/graft.h"
#include "loom/open_hazard.h"
#include "network/faults.h"
#include "network/loom_network.h"
#include "prove/reading_row.h"

namespace loomgraft {

enum class TestKind {
  continuity,
  isolation,
  resistance,
  diode,
  volts,
  loaded_drop,
  current,
  fuse_drop,
  wiggle,     // continuity while plugs and loom are moved: the worst reading seen counts
  module_pin  // at the pins of a module that is not plugged in
};
const char* name_of(TestKind kind);

enum class ProbeTarget { wire_end, body, battery_post, module_pin };

// Where a probe goes: a cavity or a device's terminal, else "body", "battery +" or "battery -" (in `at.at`).
struct ProbePoint {
  ProbeTarget target = ProbeTarget::wire_end;
  WireEnd at;
  View side = View::unknown;  // of a cavity: mating face of an open plug, or wire entry of a mated one
  std::string text;           // "C1-14, mating face"
  double minutes = 0.0;
  std::string short_text{};  // without the device's name, for tables; empty: the same as `text`
};

// A fused lead, a lamp on two leads, or a resistor of a test plug.
struct Jumper {
  WireEnd from;
  WireEnd to;
  std::string text;
  Ohms load{};          // of a lamp, hot, or of the resistor; zero: a plain lead
  double spread = 0.0;  // share by which a load may differ
};

// What lies behind trim, carpet or a wheel and is opened once for all that is measured there.
struct PlaceAccess {
  std::string place;  // of the graft
  std::string text;
  double minutes = 0.0;  // to open and close it
};

struct ProveCondition {
  std::string id;    // "dead-open", "live-rest"
  std::string text;  // "Battery off. C1, C2 and C3 unplugged."
  Condition setup;   // battery, key, what is unplugged, removed, worked and driven
  std::vector<Jumper> jumpers;
  bool live = false;
  double minutes = 0.0;  // to bring about
  std::vector<std::string> cautions;
  std::vector<std::size_t> accesses;  // positions in accesses: what it takes out or works
};

inline constexpr double over_range_ohms = 50e6;

// The unit of a reading that records that the probe point could not be reached.
inline constexpr const char* unreached_unit = "unreached";

struct ProveTest {
  std::string id;  // stable: "dead-open:ohm:C1.3:Y20.1"
  TestKind kind = TestKind::continuity;
  std::size_t condition = 0;  // position in conditions
  ProbePoint red;
  ProbePoint black;
  std::string clamp;    // wire or fuse, for current and fuse_drop
  std::string setting;  // what to turn the meter to
  std::string unit;     // "ohm", "V", "A"
  double nominal = 0.0;
  Band band;
  double minutes = 0.0;               // both probes and the reading, without condition and accesses
  std::vector<std::size_t> accesses;  // positions in accesses, with those of its condition
  std::vector<std::size_t> exposes;   // positions in faults
  std::string text;                   // what it shows, in one line
};

// What a step of the plan takes, after the steps before it.
struct StepMinutes {
  double setup = 0.0;   // to bring its condition about
  double access = 0.0;  // to open places
  double travel = 0.0;  // from place to place
  double probes = 0.0;  // to put leads where they are not yet
  double reading = 0.0;
  double sum() const { return setup + access + travel + probes + reading; }
};

// What can be shown in a limited time. Shares are of the odds of all faults.
struct TimeBudget {
  double minutes = 0.0;
  double shown = 0.0;
  double bound = 0.0;  // no plan of so many minutes shows more
};

struct Unexposed {
  std::size_t fault = 0;
  std::string why;
  std::string remedy;  // what would make it testable
};

struct TestPlugResistor {
  std::string cavity;
  Ohms ohms;  // to the common lead
};

// See prove/test_plug.h.
struct TestPlug {
  std::string connector;  // the loom's plug that it stands in
  std::string condition;
  std::string text;  // name of that plug
  std::vector<TestPlugResistor> resistors;
  std::vector<std::string> parts;  // what to buy
  double minutes = 0.0;            // to make it
  bool used = false;               // the plan has steps with it
};

// The smallest resistance added in a joint that the plan detects.
struct JointThreshold {
  std::string joint;  // "C1:3 contact"
  std::string text;
  std::optional<Ohms> ohms;  // none: never detected
  std::string test;
};

struct ProveReport {
  std::vector<Fault> faults;
  std::vector<ProveCondition> conditions;
  std::vector<PlaceAccess> accesses;
  std::vector<ProveTest> tests;
  std::vector<std::size_t> plan;     // positions in tests, in the order of work
  std::vector<StepMinutes> steps;    // by position in the plan
  std::optional<TimeBudget> budget;  // where the time does not suffice for all
  double plan_minutes = 0.0;
  double bound_minutes = 0.0;
  bool optimal = false;
  double over_range = over_range_ohms;  // of the meter
  std::vector<Unexposed> unexposed;
  std::vector<JointThreshold> joints;
  std::vector<TestPlug> test_plugs;  // that are worth a thought
  double test_plugs_save = 0.0;      // minutes of the plan, without making them; 0 where none is used
  std::vector<std::string> refused;  // forbidden circuits, as sentences
  // To be looked at and confirmed by a person before the first condition with the battery joined.
  std::vector<OpenHazard> to_confirm;
  std::vector<Assumption> assumptions;
  Problems problems;
};

std::size_t faults_that_matter(const ProveReport& report);

struct ProveOptions {
  FaultOptions faults;
  std::string meter;                  // of data/meters.csv; empty: the handheld one
  std::vector<OpenHazard> hazards{};  // that other stages left open
  std::optional<double> minutes{};    // for the plan; as many as it takes unless stated
  StopToken stop{};
};

// What every test would show under every fault, as an interval: row by test, column by fault.
struct ReadingTable {
  std::size_t faults = 0;
  std::vector<ReadingRow> rows;
  const Band& at(std::size_t test, std::size_t fault) const { return rows[test].at(fault); }
};

struct Proof {
  ProveReport report;
  ReadingTable readings;
};

Proof prove_loom(const Graft& graft, const ProveOptions& options = {});

}  // namespace loomgraft
