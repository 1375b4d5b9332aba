// How the current of a coil dies after its driver lets go, and the volts that it makes meanwhile.
//
// Model   an inductance with its resistance, its current I0 driven round a loop of `loop` ohms against
//         `opposing` volts: L di/dt = -loop * i - opposing, until the current is zero. A diode across the
//         coil opposes its forward volts; a resistor opposes nothing and adds its ohms; a clamp opposes its
//         volts beyond the supply, which still drives the coil. Inductance constant, no eddy currents, no
//         armature that moves: a relay of iron is slower at first by what its armature takes.
// Needs   inductance and loop > 0; a clamp above the supply
// Gives   closed forms (i = (I0 + U/R) exp(-t R/L) - U/R); an infinite time where the current never gets
// there
#pragma once

#include "units/quantity.h"

namespace loomgraft::circuit {

// A coil that is worked from `supply` through `resistance`, long enough for its current to be steady.
struct WorkedCoil {
  Henries inductance;
  Ohms resistance;
  Volts supply;
};

struct CoilDecay {
  Henries inductance;
  Ohms loop;
  Volts opposing;
  Amperes start;
  Volts across_coil;  // highest, reversed
  Volts at_driver;    // highest at the terminal that let go, to the other side of the supply
};

CoilDecay decay_with_diode(const WorkedCoil& coil, Volts forward, Ohms on_resistance);
CoilDecay decay_with_resistor(const WorkedCoil& coil, Ohms across);
// The driver's own clamp to the other side of the supply.
CoilDecay decay_with_clamp(const WorkedCoil& coil, Volts clamp);
// A diode with a zener diode across the coil.
CoilDecay decay_with_zener(const WorkedCoil& coil, Volts zener, Volts forward);

Amperes current_after(const CoilDecay& decay, Seconds time);
Seconds time_to(const CoilDecay& decay, Amperes current);
// What goes into what opposes (the clamp, the diode) until the current is zero.
Joules energy_into_clamp(const CoilDecay& decay, Volts clamp);

}  // namespace loomgraft::circuit
