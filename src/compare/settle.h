// Several sources disagree about one pin: the one measurement that tells them apart.
//
// Model   each claim's class gives the states that the wire or the pin can be in (standards/pin_states.h).
//         For every measurement that a person can make there, the network is solved with the meter in it,
//         over all states, tolerances and battery volts; the readings, widened by the meter's accuracy, are
//         that claim's bands. A measurement settles where no band of one claim touches a band of another.
// Gives   the measurement with the clearest gap, with its text; where none is conclusive alone, the one that
//         leaves fewest claims open and those that follow, with `conclusive` false on each that does not
//         settle alone
// Fails   never; a pin of a restraint or high-voltage circuit is refused, claims of unknown class are left
//         open
// Method  docs/engine-contention.md
#pragma once

#include <string>
#include <vector>

#include "loom/graft.h"
#include "units/quantity.h"

namespace loomgraft {

struct SettleOptions {
  Volts supply{12.0};  // nominal, 12 V or 24 V
};

enum class SettleBy {
  nothing,       // the claims agree, or one of them was proved on the vehicle
  look_at_wire,  // only colours differ
  measurement,
  following,  // same electrical kind, different function: follow the wire to its far end
  refused     // must not be probed
};

// One interval that the meter may show. `high` at the meter's over-range is "OL".
struct ReadingBand {
  double low = 0.0;
  double high = 0.0;
  std::string state;  // name of the state in which it shows
};

// What the meter shows if the claims of one class are right.
struct ClaimBand {
  PinClass pin_class = PinClass::unknown;
  std::vector<std::size_t> claims;  // indices into Pin::claims
  std::string text;                 // "low-side driver (chart)"
  std::string unit;                 // "V" or "ohm"
  double low = 0.0;                 // over all readings
  double high = 0.0;
  std::vector<ReadingBand> readings;
  std::string shows;  // the readings as text: "11.4 V to 14.5 V"
};

struct SettleMeasurement {
  std::string unplugged;
  std::string key;
  std::string red_lead;
  std::string black_lead;
  std::string setting;
  std::vector<ClaimBand> bands;  // in the order of the claims
  bool conclusive = false;       // alone
  double separation = 0.0;  // smallest gap between claims in units of the meter's accuracy; negative: overlap
  std::string instruction;  // what to unplug, where each lead goes
  std::string text;         // the instruction, and what each claim would show
};

struct SettleReport {
  SettleBy by = SettleBy::nothing;
  std::string advice;  // one or two sentences; for a measurement its text
  std::vector<SettleMeasurement> measurements;
  bool settles = false;                // the measurements together tell all classes apart
  std::vector<std::string> left_open;  // what remains open, for people
};

SettleReport settle(const Pin& pin, const SettleOptions& options = {});

const char* name_of(SettleBy by);

}  // namespace loomgraft
