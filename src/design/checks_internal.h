// The checks of a design, each over a solved sizing run. Only design/ includes this.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "design/design.h"
#include "design/sizing_run.h"
#include "heat/heat.h"
#include "standards/fuses.h"

namespace loomgraft::design {

// ---- making a check
// A value against its limit.
struct Comparison {
  double value = 0.0;
  double limit = 0.0;
  const char* unit = "";
  bool at_most = true;
};
DesignSubject wire_subject(const std::string& id);
DesignSubject device_subject(const std::string& id);
DesignSubject pin_subject(const WireEnd& cavity);
Check make_check(CheckKind kind, DesignSubject subject, std::string text, const Comparison& comparison);
// Keeps the worse of two checks of one kind and subject.
void keep_worst(std::optional<Check>& worst, Check check);
// "everything on, lowest supply and hottest copper"
std::string text_of(const LoadCase& load_case);

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
std::shared_ptr<const HeatPlan> heat_plan_of(const SizingRun& run);
LoomHeat loom_heat(const SizingRun& run);

// The hottest air along a wire: on its paths, at the places that they join, at the places of its ends, else the default value.
struct HottestAir {
  Celsius air;
  bool assumed = false;
};
std::optional<Celsius> air_at_place(const Graft& graft, const std::string& place);
HottestAir air_at_device(const Graft& graft, const Device& device);
HottestAir hottest_air(const Graft& graft, const Wire& wire);

struct ChosenInsulation {
  const Insulation* insulation = nullptr;
  bool assumed = false;
};
ChosenInsulation insulation_of(const Wire& wire);

// ---- by subject
std::optional<Check> wire_drop_check(const SizingRun& run, const std::string& wire);
std::optional<Check> heat_check(const SizingRun& run, const std::string& wire, const LoomHeat& heat);

// The wire against the fuses that a short circuit in it would blow, and as a lead ahead of fuses. Empty where no short
// flows through the wire.
struct FuseProtection {
  std::optional<WireProtection> protection;
  std::vector<Check> checks;
};
struct FuseProtections {
  std::map<std::string, FuseProtection> of_wire;
  std::map<std::string, Amperes> through_fuse;  // the greatest short
};
// Wires at the sizes they have in the sizing run.
FuseProtections fuse_protections(const SizingRun& run, const std::set<std::string>& wires,
                                 const LoomHeat& heat);

std::optional<Check> smallest_size_check(const SizingRun& run, const std::string& wire);
std::optional<Check> terminal_check(const SizingRun& run, const std::string& wire);
std::optional<Check> terminal_current_check(const SizingRun& run, const std::string& wire);

// The two terminals of a device between which it consumes.
struct ConsumerEnds {
  NodeId plus;  // the one with the higher voltage in this load case
  NodeId minus;
  Volts volts;
};
std::optional<ConsumerEnds> consumer_ends(const LoadCase& load_case, const Device& device);
bool is_consumer(const Device& device);
std::optional<Check> path_drop_check(const SizingRun& run, const Device& device);
std::optional<Check> pull_in_check(const SizingRun& run, const Device& device);
// That a relay which is on stays on while the starter turns.
std::optional<Check> hold_check(const SizingRun& run, const Device& device);
// What a lamp draws cold and a motor standing, at its output, contacts and fuse.
std::vector<Check> inrush_checks(const SizingRun& run, const Device& device);

// The highest volts across a part in any condition; on the vehicle's supply, not behind a regulator.
struct SupplyShare {
  Volts highest;
  std::string condition;
  bool on_supply = false;
};
SupplyShare supply_share(const SizingRun& run, const Device& device);
// What the supply does to a part: the volts it is made for, load dump, jump start.
std::vector<Check> supply_checks(const SizingRun& run, const Device& device);
std::vector<Check> module_supply_checks(const SizingRun& run, const Module& module);
// The loom with its battery reversed: what suppression diodes and diodes of the circuit then carry, by the circuit's id.
std::map<std::string, std::vector<Check>> reversed_checks(const SizingRun& run);

// What a motor requires of its contacts, its added wires and its fuse when it starts.
std::vector<Check> motor_checks(const SizingRun& run, const Device& device);

bool is_fuse(const Device& device);
bool is_link(const Device& fuse);
// What a fuse is taken for: as stated, else as chosen. Where no family makes one that carries its load, the largest.
struct FusePart {
  const FuseFamily* family = nullptr;
  Amperes rating;
  bool family_assumed = false;
};
FusePart fuse_part(const SizingRun& run, const Device& fuse);
std::optional<Check> fuse_load_check(const SizingRun& run, const Device& fuse);
std::optional<Check> fuse_breaking_check(const SizingRun& run, const Device& fuse, Amperes dead_short);
// The rating that carries the fuse's current in every load case where it sits.
FuseDesign fuse_design(const SizingRun& run, const Device& fuse);
// Fuses on the paths that feed a circuit's wires.
std::vector<const Device*> fuses_of(const SizingRun& run, const AlteredCircuit& circuit);

// The share of its rating that a fuse keeps in hot air.
double kept_when_hot(const HottestAir& air);

std::optional<Check> driver_current_check(const SizingRun& run, const AlteredCircuit& circuit,
                                          const WireEnd& cavity);
std::vector<Check> pin_checks(const SizingRun& run, const AlteredCircuit& circuit);
std::vector<Check> contact_checks(const SizingRun& run, const AlteredCircuit& circuit);
std::vector<Check> earth_offset_checks(const SizingRun& run, const AlteredCircuit& circuit);

std::vector<BackFeed> back_feeds(const LoomFrame& planned);

}  // namespace loomgraft::design
