// What happens electrically where the loom's wire in a cavity meets a module pin that was not made for it.
//
// Model   each side is a small set of Thevenin states with limits (contention/corner_states.h): the module's
//         pin by its class, and the loom's far end as the partner that such a class expects (a low-side
//         driver's wire leads through a coil to a feed). Every pair of states that the key allows is solved as
//         a circuit, with each side at its lowest and at its highest resistance; the worst is the answer. Wire
//         resistance is left out: the current shown is the highest.
//         Of two circuits, what a load does that the pin works, and what a module does that misreads its pin,
//         counts with the harm that it may do (contention/consequences.h). Of one circuit only limits count.
// Gives   grade, current, voltage, energy and the deciding limit, with a sentence. Pin::limits replace the
//         class's figures at the donor pin; at a loom wire that leads to a load a current limit gives how
//         little that load draws. A fuse that the wire's text states is the one that counts, with the
//         smallest usual wire that such a fuse protects. hardware == false or populated == false is no
//         connection.
// Fails   never: an unknown class on either side gives `assumed` = true and the worst of what it could be,
//         capped at Grade::damage, with the reason saying so; the harm of a known function is not capped
// Cost    an array access and a copy where neither side has limits or a fuse of its own; else some tens of
//         microseconds
// Method  docs/engine-contention.md
#pragma once

#include <optional>
#include <string>

#include "contention/consequences.h"
#include "contention/stated_fuse.h"
#include "loom/graft.h"
#include "units/quantity.h"

namespace loomgraft {

enum class Grade { harmless, false_signal, damage, injury, fire };

constexpr const char* name_of(Grade grade) {
  constexpr const char* names[] = {"harmless", "false_signal", "damage", "injury", "fire"};
  return names[static_cast<int>(grade)];
}

// The harm that a circuit does, as a grade: a nuisance counts as a false signal.
Grade grade_of(HarmSeverity severity);

struct Contention {
  Grade grade = Grade::harmless;
  Amperes current;         // from the loom into the pin
  Volts voltage;           // at the cavity, to earth
  Joules energy;           // in the loom's coil when the pin switches off
  std::string limit;       // the deciding limit and its owner, for example "donor low-side driver 2 A"
  std::string loom_state;  // names of the worst pair of states
  std::string pin_state;
  std::string reason;  // one or two sentences for people
  bool assumed = false;
  // What the circuit may do that works unasked here; nullptr where none does or nothing is known.
  const Consequence* consequence = nullptr;
  bool operator==(const Contention&) const = default;
};

// Whether the wire and the pin belong to one circuit. not_told: one, unless their terms or classes differ.
enum class Circuits { not_told, one, two };

struct ContentionOptions {
  Volts supply{12.0};  // nominal: 12 V, or 24 V from 18 V up; solved at the highest charging voltage of it
};

// What contention looks at in a pin. Made once for a pin that is asked about often.
struct MeetingSide {
  PinClass pin_class = PinClass::unknown;
  PinLimits limits;
  std::string signal;
  std::string term;
  CircuitConsequences consequences;
  std::optional<StatedFuse> fuse;  // of a loom's wire
  int load = -1;  // a loom's load by its name (contention/corner_states.h), -1 where it names none
};

// `loom_side`: the pin that this wire was made for. `pin`: the donor pin it would meet.
MeetingSide loom_side_of(const Pin& loom_side);
MeetingSide donor_side_of(const Pin& pin);

Contention contend(const MeetingSide& loom_side, const MeetingSide& pin, const ContentionOptions& options,
                   Circuits circuits);
Contention contend(const Pin& loom_side, const Pin& pin, const ContentionOptions& options = {},
                   Circuits circuits = Circuits::not_told);

// The grade from the classes alone: a look-up in a table; safe from any thread.
Grade class_grade(PinClass loom, PinClass pin, Volts supply = {12.0});

}  // namespace loomgraft
