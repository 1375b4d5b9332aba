// What happens electrically where the loom's wire in a cavity meets a module pin that was not made for it.
//
// Model   each side is a small set of Thevenin states with limits, from data/pin_classes.csv: the module's
// pin by its
//         class, and the loom's far end as the partner that such a class expects (a low-side driver's wire
//         leads through a coil to a supply). Every pair of states is solved as a circuit; the worst pair is
//         the answer.
// Gives   grade, current, voltage, energy and whose limit binds, with a sentence; unlike classes of the same
// harmlessness
//         are told apart by whether the signal would read false
// Fails   never: an unknown class on either side gives `assumed` = true and the worst of what it could be,
// capped at
//         Grade::damage, with the reason saying so
#pragma once

#include <string>
#include <vector>

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
  Amperes current;
  Volts voltage;
  Joules energy;
  std::string limit;       // whose limit binds and its value, for example "donor low-side driver 2 A"
  std::string loom_state;  // the pair of states that is the worst, in words
  std::string pin_state;
  std::string reason;  // one sentence for people
  bool assumed = false;
};

struct ContentionOptions {
  Volts supply{12.0};  // nominal; the solver uses the highest charging voltage that goes with it
};

// `loom_side`: class (and limits, far end) of the pin that this wire was made for. `pin`: the donor pin it
// would meet.
Contention contend(const Pin& loom_side, const Pin& pin, const ContentionOptions& options = {});

}  // namespace loomgraft
