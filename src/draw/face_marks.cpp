#include "draw/face_marks.h"

#include <algorithm>
#include <map>

#include "loom/part_text.h"
#include "loom/plan.h"
#include "network/cavity_pins.h"

namespace loomgraft {
namespace {

Mark mark_of(Verdict verdict) {
  constexpr Mark marks[] = {Mark::keep, Mark::shift, Mark::add, Mark::retire, Mark::clash, Mark::unsure};
  return marks[static_cast<int>(verdict)];
}

std::string pin_text(const PinName& pin) {
  return cavity_text(pin.connector, pin.cavity);
}

std::string note_of(const CircuitReport& circuit) {
  if (circuit.hazard.grade >= Grade::false_signal && circuit.verdict == Verdict::clash) {
    return circuit.hazard.grade == Grade::false_signal
               ? "would give a false signal"
               : std::string("would cause ") + name_of(circuit.hazard.grade);
  }
  if (circuit.verdict == Verdict::shift && circuit.donor) return "to " + pin_text(*circuit.donor);
  return {};
}

std::string end_text(const Graft& graft, const WireEnd& end) {
  if (end.at.empty()) return "an open end";
  return cavity_text(graft, {end.at, end.cavity});
}

// In the order of the wires given.
using WiresByCavity = std::map<std::string, std::vector<const Wire*>>;

WiresByCavity wires_at(const Connector& plug, const std::vector<Wire>& wires) {
  WiresByCavity at;
  for (const Wire& wire : wires) {
    if (wire.from.at == plug.id) at[wire.from.cavity].push_back(&wire);
    if (wire.to.at == plug.id && wire.to != wire.from) at[wire.to.cavity].push_back(&wire);
  }
  return at;
}

bool same_wires(const std::vector<const Wire*>& a, const std::vector<const Wire*>& b) {
  return std::ranges::is_permutation(a, b, {}, &Wire::id, &Wire::id);
}

// The wire in this cavity after the plan, and where it was before.
FaceMark planned_mark(const Graft& graft, const Connector& plug, const std::string& cavity,
                      const Wire& wire) {
  FaceMark mark{cavity, wire.signal, wire.colour, Mark::add, "new wire"};
  const auto before = std::ranges::find(graft.wires, wire.id, &Wire::id);
  if (before == graft.wires.end()) return mark;
  const WireEnd here{plug.id, cavity};
  const WireEnd& was = wire.from == here ? before->from : before->to;
  if (const Pin* pin = pin_at(graft, was, LoomState::as_found).pin) {
    if (mark.signal.empty()) mark.signal = pin->signal;
    if (print(mark.colour).empty()) mark.colour = pin->colour;
  }
  mark.mark = was == here ? Mark::none : Mark::shift;
  mark.note = was == here ? std::string() : "from " + end_text(graft, was);
  return mark;
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

std::vector<FaceMark> planned_face_marks(const Graft& graft, const Connector& plug) {
  std::map<std::string, std::vector<FaceMark>> marks_at;
  for (const Module& module : graft.modules) {
    for (const Pin& pin : module.pins) {
      if (pin.at.connector == plug.id && pin.pin_class != PinClass::no_connection)
        marks_at[pin.at.cavity].push_back({pin.at.cavity, pin.signal, pin.colour, Mark::none, ""});
    }
  }
  const WiresByCavity found = wires_at(plug, graft.wires);
  const PlannedWires planned_loom = as_planned(graft);
  const WiresByCavity planned = wires_at(plug, planned_loom.wires);
  for (const auto& [cavity, wires] : found) {
    if (!planned.contains(cavity))
      marks_at[cavity] = {
          {cavity, "", {}, Mark::retire, letters_of(wires.front()->colour) + " came out", true}};
  }
  for (const auto& [cavity, wires] : planned) {
    const auto before = found.find(cavity);
    const bool altered = before == found.end() || !same_wires(before->second, wires);
    std::vector<FaceMark>& marks = marks_at[cavity];
    if (!altered && !marks.empty()) continue;
    marks.clear();
    for (const Wire* wire : wires) marks.push_back(planned_mark(graft, plug, cavity, *wire));
  }
  std::vector<FaceMark> all;
  for (auto& [cavity, marks] : marks_at) all.insert(all.end(), marks.begin(), marks.end());
  return all;
}

}  // namespace loomgraft
