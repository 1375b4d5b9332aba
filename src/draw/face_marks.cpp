#include "draw/face_marks.h"

namespace loomgraft {
namespace {

Mark mark_of(Verdict verdict) {
  constexpr Mark marks[] = {Mark::keep, Mark::shift, Mark::add, Mark::retire, Mark::clash, Mark::unsure};
  return marks[static_cast<int>(verdict)];
}

std::string place(const PinName& pin) {
  return pin.connector.empty() ? pin.cavity : pin.connector + " " + pin.cavity;
}

std::string note_of(const CircuitReport& circuit) {
  if (circuit.hazard.grade >= Grade::false_signal && circuit.verdict == Verdict::clash) {
    return circuit.hazard.grade == Grade::false_signal
               ? "would read false"
               : std::string("would cause ") + name_of(circuit.hazard.grade);
  }
  if (circuit.verdict == Verdict::shift && circuit.donor) return "to " + place(*circuit.donor);
  return {};
}

}  // namespace

std::vector<FaceMark> face_marks(const Connector& plug, const Module& module, const CompareReport& report) {
  std::vector<FaceMark> marks;
  for (const Pin& pin : module.pins) {
    if (pin.at.connector == plug.id && pin.pin_class != PinClass::no_connection)
      marks.push_back({pin.at.cavity, pin.signal, pin.colour, Mark::none, ""});
  }
  for (const CircuitReport& circuit : report.circuits) {
    if (circuit.found && circuit.found->connector == plug.name) {
      for (FaceMark& mark : marks) {
        if (mark.cavity != circuit.found->cavity || mark.signal != circuit.found->signal) continue;
        mark.mark = mark_of(circuit.verdict);
        mark.note = note_of(circuit);
      }
    } else if (!circuit.found && circuit.donor && circuit.donor->connector == plug.name) {
      marks.push_back({circuit.donor->cavity, circuit.donor->signal, {}, mark_of(circuit.verdict), ""});
    }
  }
  return marks;
}

}  // namespace loomgraft
