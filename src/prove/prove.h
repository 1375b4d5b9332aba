// The least work with a meter that exposes every single mistake in the planned loom.
//
// Model   states of the job (what is unplugged, battery, key, jumpers) x places a probe can touch = tests; a
//         test exposes a fault where the fault's reading interval is clear of the healthy band. The plan is a
//         set cover with set-up, access and probe minutes; states that feed power come after every fault that
//         could do harm there is excluded.
// Needs   a graft. Circuits marked forbidden are refused by name.
// Gives   every candidate test with its band, the plan in order, minutes and the bound below which no plan
//         can be, what no test can expose and what would help, the bad joint that each joint's best test sees
// Fails   Problems; what can be proved is proved all the same. `stopped` and nothing else where options.stop
//         asked for it on the way
// Cost    docs/prove.md
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"
#include "network/faults.h"
#include "network/loom_network.h"
#include "base/problem.h"
#include "base/stop.h"

namespace loomgraft {

enum class TestKind { continuity, isolation, resistance, diode, volts, loaded_drop, current, fuse_drop };
const char* name_of(TestKind kind);

// Where a probe goes: a cavity, a device's terminal, or "body", "battery +", "battery -" (in `at.at`).
struct ProbePoint {
  WireEnd at;
  View side = View::unknown;  // of a cavity: mating face of an open plug, or wire entry of a mated one
  std::string text;          // "C1 14, mating face"
  double minutes = 0.0;
};

struct Jumper {
  WireEnd from;
  WireEnd to;
  std::string text;
};

// What lies behind trim, carpet or a wheel and is opened once for all that is measured there.
struct PlaceAccess {
  std::string place;  // of the graft
  std::string text;
  double minutes = 0.0;  // to open and close it
};

struct ProveState {
  std::string id;     // "dead-open", "live-15"
  std::string text;  // "Battery off. C1, C2 and C3 unplugged."
  Condition condition;
  std::vector<Jumper> jumpers;
  bool live = false;
  double minutes = 0.0;  // to bring about
  std::vector<std::string> cautions;
  std::vector<std::size_t> accesses;  // positions in accesses: what it takes out or works
};

struct Band {
  double low = 0.0;
  double high = 0.0;  // above over_range_ohms: the meter shows that it cannot measure so much
};
inline constexpr double over_range_ohms = 50e6;

// The unit of a reading that says: nobody could reach the place.
inline constexpr const char* unreached_unit = "unreached";

struct ProveTest {
  std::string id;  // stable: "dead-open:ohm:C1.3:Y20.1"
  TestKind kind = TestKind::continuity;
  std::size_t state = 0;
  ProbePoint red;
  ProbePoint black;
  std::string clamp;    // wire or fuse, for current and fuse_drop
  std::string setting;  // what to turn the meter to, in words
  std::string unit;     // "ohm", "V", "A"
  double nominal = 0.0;
  Band band;
  double minutes = 0.0;               // both probes and the reading, without state and accesses
  std::vector<std::size_t> accesses;  // positions in accesses, with those of its state
  std::vector<std::size_t> exposes;   // positions in faults
  std::string text;                  // what it shows, in one line
};

struct Unexposed {
  std::size_t fault = 0;
  std::string why;
  std::string remedy;  // what would make it testable
};

// The smallest resistance added in a joint that the plan would notice.
struct JointThreshold {
  std::string joint;  // "C1:3 contact"
  std::string text;
  std::optional<Ohms> ohms;  // none: never noticed
  std::string test;
};

struct MeterAccuracy {
  std::string name;
  std::string source;
};

struct ProveReport {
  std::vector<Fault> faults;
  std::vector<ProveState> states;
  std::vector<PlaceAccess> accesses;
  std::vector<ProveTest> tests;
  std::vector<std::size_t> plan;  // positions in tests, in the order of work
  double plan_minutes = 0.0;
  double bound_minutes = 0.0;
  bool optimal = false;
  double over_range = over_range_ohms;  // of the meter
  std::vector<Unexposed> unexposed;
  std::vector<JointThreshold> joints;
  std::vector<std::string> refused;  // forbidden circuits, in words
  std::vector<Assumption> assumptions;
  Problems problems;
};

struct ProveOptions {
  FaultOptions faults;
  std::string meter;  // of data/meters.csv; empty: the handheld one
  std::stop_token stop{};
};

// What every test would show under every fault, as an interval: row by test, column by fault.
struct ReadingTable {
  std::size_t faults = 0;
  std::vector<Band> cells;
  const Band& at(std::size_t test, std::size_t fault) const { return cells[test * faults + fault]; }
};

struct Proof {
  ProveReport report;
  ReadingTable readings;
};

Proof prove_loom(const Graft& graft, const ProveOptions& options = {});

}  // namespace loomgraft
