// The checks of a design, each over a solved trial. Only design/ includes this.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "design/design.h"
#include "heat/heat.h"
#include "design/sizing_run.h"
#include "standards/fuses.h"

namespace loomgraft::design {

// ---- making a check
struct Bound {
  double value = 0.0;
  double limit = 0.0;
  const char* unit = "";
  bool at_most = true;
};
Check make_check(CheckKind kind, std::string subject, std::string words, const Bound& bound);
// Keeps the worse of two checks of one kind and subject.
void keep_worse(std::optional<Check>& worst, Check check);
// "everything on, lowest supply and hottest copper"
std::string words_of(const TrialRun& run);

// ---- heat of every planned wire
struct WireHeat {
  Amperes current;
  Celsius conductor;
  Celsius air;
  bool air_assumed = false;
  bool runs_away = false;
  std::string path;            // where it is hottest, a LoomPath id; empty: alone
  std::size_t neighbours = 0;  // other wires there
};
using LoomHeat = std::map<std::string, WireHeat>;
LoomHeat loom_heat(const Trial& trial);

// The hottest air on a wire's way: its paths, the places of its ends, else what is usual.
struct HottestAir {
  Celsius air;
  bool assumed = false;
};
HottestAir hottest_air(const Graft& graft, const Wire& wire);

struct ChosenInsulation {
  const Insulation* insulation = nullptr;
  bool assumed = false;
};
ChosenInsulation insulation_of(const Wire& wire);

// ---- by subject
std::optional<Check> wire_drop_check(const Trial& trial, const std::string& wire);
std::optional<Check> heat_check(const Trial& trial, const std::string& wire, const LoomHeat& heat);

// What a short circuit in a wire would do: the fuse that it would blow, and the checks of one against the
// other. Empty where nothing feeds the wire.
struct Guard {
  std::optional<WireProtection> protection;
  std::vector<Check> checks;
};
using Guards = std::map<std::string, Guard>;  // by wire
// Wires at the sizes they have in the trial.
Guards guards_of(const Trial& trial, const std::set<std::string>& wires, const LoomHeat& heat);

std::optional<Check> smallest_size_check(const Trial& trial, const std::string& wire);
std::optional<Check> terminal_check(const Trial& trial, const std::string& wire);

// Two terminals of a device between which its consumer stands.
struct ConsumerEnds {
  NodeId plus;  // the higher one in this run
  NodeId minus;
  Volts volts;
};
std::optional<ConsumerEnds> consumer_ends(const TrialRun& run, const Device& device);
bool is_consumer(const Device& device);
std::optional<Check> path_drop_check(const Trial& trial, const Device& device);
std::optional<Check> pull_in_check(const Trial& trial, const Device& device);

// What a motor asks of its contacts, its added wires and its fuse when it starts.
std::vector<Check> motor_checks(const Trial& trial, const Device& device);

std::optional<Check> fuse_load_check(const Trial& trial, const Device& fuse);
// The rating that carries what the fuse carries in any run.
FuseDesign fuse_design(const Trial& trial, const Device& fuse);
// Fuses on the ways that feed a circuit's wires.
std::vector<const Device*> fuses_of(const Trial& trial, const AlteredCircuit& circuit);

std::vector<Check> pin_checks(const Trial& trial, const AlteredCircuit& circuit);
std::vector<Check> contact_checks(const Trial& trial, const AlteredCircuit& circuit);
std::vector<Check> earth_offset_checks(const Trial& trial, const AlteredCircuit& circuit);

std::vector<BackFeed> back_feeds(const Graft& graft);

}  // namespace loomgraft::design
