// One pair of states, solved: the circuit, its operating point, and the limit that it exceeds most.
//
// Model   both sides stand between the cavity and earth; a clamp of the pin joins in where a voltage of the
//         pair can reach it. Each pair is solved at the four corners of its resistances.
// Gives   findings without text, cheap enough for every pair; contention/text.h describes the worst ones
// Fails   never: data figures always make a circuit with an operating point
#pragma once

#include <array>
#include <optional>

#include "circuit/circuit.h"
#include "contention/contention.h"
#include "contention/corner_states.h"

namespace loomgraft::contention {

inline constexpr NodeId cavity_node{1};

// One side of a pair at one corner of its resistance.
struct StateCorner {
  const CornerState* of = nullptr;
  Ohms ohms;
  bool lowest = true;  // its lowest resistance
};

// The lowest and the highest resistance; one corner where they are equal.
std::vector<StateCorner> corners_of(const CornerState& state);

// The first element of the circuit is the loom's, the second the pin's: a source, or a diode where one-way.
Circuit contention_circuit(const StateCorner& loom, const PinRatings& ratings, const StateCorner& pin,
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

// The worst of all pairs and corners, and apart from it the worst in which something works or is read unasked.
struct Findings {
  Finding worst;                     // among harmless ones the largest current
  std::optional<Finding> operated;   // the loom's load works
  std::optional<Finding> misread;    // the pin reads another value
  std::optional<Finding> disturbed;  // a bus or feed of the vehicle is shifted
};

// `signals`: whether the wrong working of loads and signals counts; false where wire and pin are made for each
// other.
Findings worst_of_models(const CornerModel& loom, const CornerModel& pin, SystemVolts system, bool signals);

// Current (from the loom into the pin) and voltage at the cavity.
struct PairPoint {
  Amperes current;
  Volts voltage;
};
PairPoint solve_pair(const StateCorner& loom, const PinRatings& ratings, const StateCorner& pin,
                     SystemVolts system);

}  // namespace loomgraft::contention
