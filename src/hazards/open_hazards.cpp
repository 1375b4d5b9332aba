#include "hazards/open_hazards.h"

#include <algorithm>

#include "compare/compare.h"
#include "design/design.h"

namespace loomgraft {
namespace {

const Module* of_role(const Graft& graft, ModuleRole role) {
  const auto found = std::ranges::find(graft.modules, role, &Module::role);
  return found == graft.modules.end() ? nullptr : &*found;
}

bool takes_out(const Graft& graft, const CavityRef& from) {
  return std::ranges::any_of(graft.plan, [&](const PlanStep& step) {
    return step.action != PlanAction::add && step.from == WireEnd{from.connector, from.cavity};
  });
}

// The plan does what the comparison asks for at the circuit's cavity.
bool is_settled(const Graft& graft, const CompareReport& report, std::size_t circuit) {
  return std::ranges::any_of(report.changes, [&](const CircuitChange& change) {
    return change.circuit == circuit && !change.from.cavity.empty() && takes_out(graft, change.from);
  });
}

std::string place_of(const CircuitReport& circuit) {
  const PinName& pin = circuit.found ? *circuit.found : *circuit.donor;
  return pin.connector + " " + pin.cavity + " (" + circuit.signal + ")";
}

void add_comparison(const Graft& graft, std::vector<OpenHazard>& open) {
  const Module* found = of_role(graft, ModuleRole::found);
  const Module* donor = of_role(graft, ModuleRole::donor);
  if (!found || !donor) return;
  const CompareReport report = compare_modules(graft, found->id, donor->id);
  for (std::size_t k = 0; k < report.circuits.size(); ++k) {
    const CircuitReport& circuit = report.circuits[k];
    if (!circuit.found && !circuit.donor) continue;
    const std::string place = place_of(circuit);
    if (circuit.hazard.grade >= Grade::damage && !is_settled(graft, report, k))
      open.push_back({HazardSource::comparison, place, place + ": " + circuit.hazard.reason,
                      "The plan leaves this wire in its cavity. Look at the pin and the wire, and move or "
                      "take it out."});
    if (circuit.loss && circuit.loss->grade >= Grade::damage && is_settled(graft, report, k))
      open.push_back({HazardSource::comparison, "loss " + place, place + ": " + circuit.loss->reason,
                      "See that the vehicle does without it safely, or give it another circuit."});
  }
}

void add_design(const Graft& graft, std::vector<OpenHazard>& open) {
  for (const CircuitDesign& circuit : design_circuits(graft).circuits) {
    const auto failing = std::ranges::find_if(
        circuit.checks, [](const Check& check) { return check.judged && !check.passes; });
    if (failing == circuit.checks.end()) continue;
    open.push_back({HazardSource::design, circuit.id,
                    "the design of " + circuit.name + " fails: " + failing->text,
                    "Change it under Design until it passes, or look at it and answer for it."});
  }
}

}  // namespace

std::vector<OpenHazard> open_hazards(const Graft& graft) {
  std::vector<OpenHazard> open;
  add_comparison(graft, open);
  add_design(graft, open);
  return open;
}

}  // namespace loomgraft
