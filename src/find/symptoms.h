// What a person may notice before anything is measured, and which faults would cause it.
//
// Model   the planned loom is solved under each fault in three states: key off; key on with nothing worked;
//         everything on. Fuses that a fault overloads blow, one after the other, and what remains counts. A
//         load never works if its current stays below a fifth of the sound one; an input is stuck if its
//         volts stay on the side of one of its two sound levels; a module is dead if a feed of it falls to
//         less than half. Only what comes and goes when a lead is moved is told by the kind of fault, and a joint that
//         opens only when it is moved causes nothing else
// Needs   the graft, and the faults of its proof
// Gives   the symptoms that at least one fault causes, in the order of the devices and pins
// Fails   a state that has no solution gives no symptoms
// Cost    three fault dictionaries over loads, fuses and inputs
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/stop.h"
#include "find/find.h"

namespace loomgraft {

enum class SymptomKind {
  never_works,
  weak,
  always_on,
  blows_always,  // with the key off
  blows_with_key,
  blows_when_driven,
  stuck_at_rest,
  stuck_worked,
  reads_wrong,
  module_dead,
  when_moved
};
const char* name_of(SymptomKind kind);

struct Symptom {
  std::string id;  // "Y20:never-works"
  SymptomKind kind = SymptomKind::never_works;
  std::string subject;  // id of the device or module, or "connector:cavity"; empty for the whole loom
  std::string text;     // "PTO valve never works"
  std::vector<std::size_t> faults;  // that cause it
};

std::vector<Symptom> symptoms_of(const Graft& graft, const std::vector<Fault>& faults,
                                 const StopToken& stop = {});

// "Y20:never-works", or in a person's words "valve:never pulls": the id or name of the part, or the only one whose name
// contains it, and what it does. Null where none or more than one fits.
const Symptom* symptom_named(std::string_view text, const Graft& graft, const std::vector<Symptom>& symptoms);

Evidence evidence_of(const Symptom& symptom, std::size_t faults);

}  // namespace loomgraft
