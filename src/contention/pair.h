// One pair of states, solved: the circuit, its operating point, and the limit that it exceeds most.
//
// Model   both sides stand between the cavity and earth; a clamp of the pin joins in where a voltage of the
//         pair can reach it
// Gives   a finding without text, cheap enough for every pair; contention/text.h describes the worst one
// Fails   never: data figures always make a circuit with an operating point
#pragma once

#include <optional>

#include "circuit/circuit.h"
#include "contention/contention.h"
#include "standards/pin_states.h"

namespace loomgraft::contention {

inline constexpr NodeId cavity_node{1};

// The first element of the circuit is the loom's, the second the pin's: a source, or a diode where one-way.
Circuit contention_circuit(const PinState& loom, const PinModel& pin_model, const PinState& pin,
                           SystemVolts system);

bool key_allows(const PinState& loom, const PinState& pin);

enum class Cause {
  nothing,
  dead_short,     // a feed straight to earth
  wire_overload,  // more than the wire carries, and no fuse that would stop it
  pin_current,
  pin_voltage,
  loom_current,
  loom_voltage,
  clamp_energy,
  load_operated,
  reading_shifted,  // the pin reads a wrong value
  live_with_key_off,
  loom_disturbed  // the voltage of a feed or bus of the vehicle is shifted
};

struct Finding {
  Grade grade = Grade::harmless;
  Cause cause = Cause::nothing;
  double excess = 0.0;  // figure over limit
  double limit = 0.0;   // SI
  double rest = 0.0;    // volts without the other side, for the causes that shift a voltage
  Amperes current;
  Volts voltage;
  Joules energy;
  const PinState* loom = nullptr;
  const PinState* pin = nullptr;
};

// `matched`: the wire was made for such a pin, so that signals and loads work as they should.
Finding worst_of_pair(const PinModel& loom, const PinState& loom_state, const PinModel& pin,
                      const PinState& pin_state, SystemVolts system, bool matched);

// The worst over all pairs of states; among harmless ones the largest current.
Finding worst_of_models(const PinModel& loom, const PinModel& pin, SystemVolts system, bool matched);

// Current (from the loom into the pin) and voltage at the cavity.
struct PairPoint {
  Amperes current;
  Volts voltage;
};
PairPoint solve_pair(const PinState& loom, const PinModel& pin_model, const PinState& pin,
                     SystemVolts system);

}  // namespace loomgraft::contention
