// What feeds a loom beside its first battery: alternators, chargers, solar panels, trailer feeds, further batteries.
//
// Model   a device of the build `alternator` gives its rated current and no more, whatever it feeds; one without a rating the
//         highest default of its kind. A further battery is one of the network's own supplies
// Gives   those with a wire at their plus
#pragma once

#include <optional>
#include <vector>

#include "design/sizing_run.h"

namespace loomgraft::design {

struct FeedingSource {
  const Device* device = nullptr;
  NodeId plus;
  NodeId minus;
  Volts volts;
  Ohms resistance;
  Amperes most;
  bool assumed = false;  // no rating is stated
};

std::vector<FeedingSource> feeding_sources(const SizingRun& run, const LoadCase& load_case);
LimitedSource element_of(const FeedingSource& source);
// One that pushes its whole current into whatever it feeds, as into a flat battery.
LimitedSource at_full_current(const FeedingSource& source);

// The batteries beside the first, in the order of the document; none where two share the volts of a 24 V vehicle.
std::vector<const Device*> further_batteries(const LoomFrame& frame);

// An alternator, charger, panel or trailer feed that is not part of a circuit to leave alone.
bool is_limited_source(const LoomFrame& frame, const Device& device);

// What one fuse would carry while a source charges: see LoadCaseKind::charging.
void charge_from_sources(const SizingRun& run, LoadCase& load_case);
void charge_battery(const SizingRun& run, const Device& flat, LoadCase& load_case);

}  // namespace loomgraft::design
