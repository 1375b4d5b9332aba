// What happens electrically where the loom's wire in a cavity meets a module pin that was not made for it.
//
// Model   each side is a small set of Thevenin states with limits (standards/pin_states.h): the module's pin
//         by its class, and the loom's far end as the partner that such a class expects (a low-side driver's
//         wire leads through a coil to a feed). Every pair of states that the key allows is solved as a
//         circuit; the worst pair is the answer. Wire resistance is left out: the current shown is the
//         highest.
// Gives   grade, current, voltage, energy and the deciding limit, with a sentence. A pin whose class is that
//         of the wire is a match: only limits of its own are judged, and a differing term gives a false
//         signal. Pin::limits replace the class's figures at the donor pin; at a loom wire that leads to a
//         load a current limit gives how little that load draws. hardware == false or populated == false is
//         no connection.
// Fails   never: an unknown class on either side gives `assumed` = true and the worst of what it could be,
//         capped at Grade::damage, with the reason saying so
// Cost    an array access where neither side has limits of its own; else some microseconds
// Method  docs/engine-contention.md
#pragma once

#include <string>

#include "loom/graft.h"
#include "units/quantity.h"

namespace loomgraft {

enum class Grade { harmless, false_signal, damage, fire };

constexpr const char* name_of(Grade grade) {
  constexpr const char* names[] = {"harmless", "false_signal", "damage", "fire"};
  return names[static_cast<int>(grade)];
}

struct Contention {
  Grade grade = Grade::harmless;
  Amperes current;         // from the loom into the pin
  Volts voltage;           // at the cavity, to earth
  Joules energy;           // in the loom's coil when the pin switches off
  std::string limit;       // the deciding limit and its owner, for example "donor low-side driver 2 A"
  std::string loom_state;  // names of the worst pair of states
  std::string pin_state;
  std::string reason;  // one sentence for people
  bool assumed = false;
  bool operator==(const Contention&) const = default;
};

struct ContentionOptions {
  Volts supply{12.0};  // nominal: 12 V, or 24 V from 18 V up; solved at the highest charging voltage of it
};

// `loom_side`: class (and limits) of the pin that this wire was made for. `pin`: the donor pin it would meet.
Contention contend(const Pin& loom_side, const Pin& pin, const ContentionOptions& options = {});

// The grade from the classes alone: a look-up in a table that is computed once; safe from any thread.
Grade class_grade(PinClass loom, PinClass pin, Volts supply = {12.0});

}  // namespace loomgraft
