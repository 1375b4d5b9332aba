// What a meter shows at a cavity or a pin of a given class: the network with the meter in it, solved.
//
// Model   volts: the meter's input resistance to earth, battery anywhere between low and charging. Ohms:
//         battery negative lifted, every source dead, the meter a small current source with limited volts;
//         its leads add to the reading. A plug off takes the module's own feeds and earths away from the far
//         end.
// Gives   one band for each state (each pair of states where the plug stays on), widened by the meter's
//         accuracy
// Fails   never: data figures always make a circuit with an operating point
#pragma once

#include <vector>

#include "circuit/circuit.h"
#include "compare/settle.h"
#include "standards/pin_states.h"

namespace loomgraft::compare {

// In order of ease and safety.
enum class MeterTask {
  loom_volts_key_off,
  loom_volts_key_on,
  back_probe_volts_key_on,
  loom_ohms_to_earth,
  loom_ohms_to_battery,
  module_ohms_to_case,
};
inline constexpr int meter_task_count = 6;

bool measures_ohms(MeterTask task);

// A circuit with the meter between `red` and `black`; in ohms the meter is the last source.
struct MeterCircuit {
  Circuit circuit;
  NodeId red;
  NodeId black;
  std::string state;
};

// One circuit for each corner of tolerance of each state.
std::vector<MeterCircuit> meter_circuits(MeterTask task, PinClass pin_class, SystemVolts system);

// What the meter shows: volts, or ohms with its leads, at most its over-range.
double meter_reading(MeterTask task, const MeterCircuit& circuit, SystemVolts system);

// Half-width of what the meter may be off at this reading.
double meter_accuracy(MeterTask task, double reading, SystemVolts system);

std::vector<ReadingBand> reading_bands(MeterTask task, PinClass pin_class, SystemVolts system);

}  // namespace loomgraft::compare
