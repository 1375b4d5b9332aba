#include "hazards/open_hazards.h"

#include <algorithm>

#include "compare/compare.h"
#include "design/design.h"
#include "loom/forbidden.h"
#include "loom/part_text.h"
#include "loom/plan.h"

namespace loomgraft {
namespace {

const Module* of_role(const Graft& graft, ModuleRole role) {
  const auto found = std::ranges::find(graft.modules, role, &Module::role);
  return found == graft.modules.end() ? nullptr : &*found;
}

bool ends_at(const Wire& wire, const CavityRef& cavity) {
  const WireEnd end{cavity.connector, cavity.cavity};
  return wire.from == end || wire.to == end;
}

// The vehicle's wire is recorded in the cavity, and the plan leaves it there no longer.
bool takes_out(const Graft& graft, const std::vector<Wire>& planned, const CavityRef& from) {
  const auto found = std::ranges::find_if(graft.wires, [&](const Wire& wire) { return ends_at(wire, from); });
  if (found == graft.wires.end()) return false;
  return std::ranges::none_of(planned,
                              [&](const Wire& wire) { return wire.id == found->id && ends_at(wire, from); });
}

// The plan does what the comparison asks for at the circuit's cavity.
bool is_settled(const Graft& graft, const std::vector<Wire>& planned, const CompareReport& report,
                std::size_t circuit) {
  return std::ranges::any_of(report.changes, [&](const CircuitChange& change) {
    return change.circuit == circuit && !change.from.cavity.empty() && takes_out(graft, planned, change.from);
  });
}

std::string place_of(const CircuitReport& circuit) {
  const PinName& pin = circuit.found ? *circuit.found : *circuit.donor;
  return cavity_text(pin.connector, pin.cavity) + " (" + circuit.signal + ")";
}

// A restraint or high-voltage circuit, on either side.
bool is_left_alone(const Graft& graft, const ForbiddenParts& forbidden, const CircuitReport& circuit) {
  const auto names = [&](const std::optional<PinName>& pin, const WireEnd& end) {
    return pin && pin->cavity == end.cavity && pin->connector == plug_text(graft, end.at);
  };
  return std::ranges::any_of(forbidden.ends, [&](const WireEnd& end) {
    return names(circuit.found, end) || names(circuit.donor, end);
  });
}

void add_comparison(const Graft& graft, std::vector<OpenHazard>& open) {
  const Module* found = of_role(graft, ModuleRole::found);
  const Module* donor = of_role(graft, ModuleRole::donor);
  if (!found || !donor) return;
  const CompareReport report = compare_modules(graft, found->id, donor->id);
  const std::vector<Wire> planned = as_planned(graft).wires;
  const ForbiddenParts forbidden = forbidden_parts(graft);
  for (std::size_t k = 0; k < report.circuits.size(); ++k) {
    const CircuitReport& circuit = report.circuits[k];
    if (!circuit.found && !circuit.donor) continue;
    const std::string place = place_of(circuit);
    if (circuit.hazard.grade >= Grade::damage && !is_settled(graft, planned, report, k))
      open.push_back({HazardSource::comparison, place, place + ": " + circuit.hazard.reason,
                      is_left_alone(graft, forbidden, circuit)
                          ? "Leave the wire as it is and keep the donor off it until a trained person has "
                            "looked at it."
                          : "The plan leaves this wire in its cavity. Look at the pin and the wire, and "
                            "move or take it out."});
    if (circuit.loss && circuit.loss->grade >= Grade::damage && is_settled(graft, planned, report, k))
      open.push_back({HazardSource::comparison, "loss " + place, place + ": " + circuit.loss->reason,
                      "See that the vehicle does without it safely, or give it another circuit."});
  }
}

void add_design(const Graft& graft, std::vector<OpenHazard>& open) {
  for (const CircuitDesign& circuit :
       design_circuits(graft, {.remedies = false, .back_feeds = false, .outcomes = false}).circuits) {
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
