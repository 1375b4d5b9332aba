#include "compare/propose.h"

#include <algorithm>
#include <map>
#include <set>

namespace loomgraft {
namespace {

struct Draft {
  Proposal result;
  const Module* found = nullptr;
  std::map<std::string, std::string> connector_ids;  // of the found module, by name
  std::map<CavityRef, std::string> wire_at;          // as found, in the found module's plugs
  std::set<CavityRef> leaving;                       // cavities whose wire a step takes away
  std::set<CavityRef> served;                        // cavities that a step brings a wire to
  std::set<std::string> ids;
  std::set<std::string> unknown_plugs;  // of the donor, already reported
};

std::string free_id(Draft& draft, const std::string& wanted) {
  std::string id = wanted;
  for (int number = 2; !draft.ids.insert(id).second; ++number) id = wanted + "_" + std::to_string(number);
  return id;
}

CavityRef cavity_of(const WireEnd& end) {
  return {end.at, end.cavity};
}

void index_connectors(Draft& draft) {
  for (const std::string& id : draft.found->connectors) {
    if (const Connector* connector = find_connector(draft.result.graft, id))
      draft.connector_ids.emplace(connector->name, id);
  }
}

void index_wires(Draft& draft) {
  for (const Wire& wire : draft.result.graft.wires) {
    draft.ids.insert(wire.id);
    for (const WireEnd& end : {wire.from, wire.to}) {
      if (!end.at.empty()) draft.wire_at.emplace(cavity_of(end), wire.id);
    }
  }
}

void index_plan(Draft& draft) {
  std::map<std::string, const Wire*> wires;
  for (const Wire& wire : draft.result.graft.wires) wires.emplace(wire.id, &wire);
  for (const PlanStep& step : draft.result.graft.plan) {
    if (step.action == PlanAction::move) {
      draft.leaving.insert(cavity_of(step.from));
      draft.served.insert(cavity_of(step.to));
    } else if (step.action == PlanAction::add && step.added) {
      draft.ids.insert(step.added->id);
      draft.served.insert(cavity_of(step.added->from));
      draft.served.insert(cavity_of(step.added->to));
    } else if (step.action == PlanAction::retire && wires.contains(step.wire)) {
      draft.leaving.insert(cavity_of(wires.at(step.wire)->from));
      draft.leaving.insert(cavity_of(wires.at(step.wire)->to));
    }
  }
}

// A row without any statement about its cavity stands for no wire.
bool has_wire(const Pin& pin) {
  if (!pin.populated.value_or(true) || pin.pin_class == PinClass::no_connection || pin.at.cavity.empty())
    return false;
  return !pin.signal.empty() || pin.pin_class != PinClass::unknown || !pin.colour.base.empty();
}

void add_found_wires(Draft& draft) {
  for (const Pin& pin : draft.found->pins) {
    if (!has_wire(pin) || draft.wire_at.contains(pin.at)) continue;
    const Connector* connector = find_connector(draft.result.graft, pin.at.connector);
    Wire wire;
    wire.id = free_id(draft, (connector ? connector->name : pin.at.connector) + "_" + pin.at.cavity);
    wire.signal = pin.signal;
    wire.from = {pin.at.connector, pin.at.cavity};
    wire.colour = pin.colour;
    draft.wire_at.emplace(pin.at, wire.id);
    draft.result.graft.wires.push_back(wire);
  }
}

std::optional<CavityRef> cavity_in_loom(Draft& draft, const PinName& pin) {
  const auto found = draft.connector_ids.find(pin.connector);
  if (found != draft.connector_ids.end()) return CavityRef{found->second, pin.cavity};
  if (draft.unknown_plugs.insert(pin.connector).second)
    draft.result.problems.push_back(
        {Severity::warning,
         "no-such-plug",
         {},
         "The loom has no plug called \"" + pin.connector + "\"; the donor's pins there are left out.",
         "Give the plugs of both modules the same names, or add the plug to the loom."});
  return std::nullopt;
}

std::string reason_of(const CircuitReport& circuit) {
  return circuit.why.empty() ? std::string(name_of(circuit.verdict)) : circuit.why.front();
}

void propose_move(Draft& draft, const CircuitReport& circuit, const CavityRef& from) {
  const auto to = cavity_in_loom(draft, *circuit.donor);
  const auto wire = draft.wire_at.find(from);
  if (!to || wire == draft.wire_at.end() || !draft.leaving.insert(from).second) return;
  draft.served.insert(*to);
  PlanStep step;
  step.action = PlanAction::move;
  step.wire = wire->second;
  step.from = {from.connector, from.cavity};
  step.to = {to->connector, to->cavity};
  step.reason = reason_of(circuit);
  draft.result.graft.plan.push_back(step);
  ++draft.result.moves;
}

void propose_retirement(Draft& draft, const CircuitReport& circuit, const CavityRef& from) {
  const auto wire = draft.wire_at.find(from);
  if (wire == draft.wire_at.end() || !draft.leaving.insert(from).second) return;
  PlanStep step;
  step.action = PlanAction::retire;
  step.wire = wire->second;
  step.reason = circuit.loss ? circuit.loss->reason : reason_of(circuit);
  draft.result.graft.plan.push_back(step);
  ++draft.result.retirements;
}

void propose_addition(Draft& draft, const CircuitReport& circuit) {
  const auto at = cavity_in_loom(draft, *circuit.donor);
  if (!at || !draft.served.insert(*at).second) return;
  PlanStep step;
  step.action = PlanAction::add;
  step.added.emplace();
  step.added->id = free_id(draft, "new_" + circuit.donor->connector + "_" + circuit.donor->cavity);
  step.added->signal = circuit.donor->signal;
  step.added->from = {at->connector, at->cavity};
  step.reason = reason_of(circuit);
  draft.result.graft.plan.push_back(step);
  ++draft.result.additions;
}

void propose(Draft& draft, const CircuitReport& circuit, const CircuitChange& change) {
  switch (change.action) {
    case PlanAction::move:
      return propose_move(draft, circuit, change.from);
    case PlanAction::retire:
      return propose_retirement(draft, circuit, change.from);
    case PlanAction::add:
      return propose_addition(draft, circuit);
  }
}

}  // namespace

Proposal propose_plan(const Graft& graft, const std::string& found, const std::string& donor) {
  Draft draft;
  draft.result.graft = graft;
  draft.found = find_module(graft, found);
  const CompareReport report = compare_modules(graft, found, donor);
  draft.result.problems = report.problems;
  if (!draft.found) return std::move(draft.result);
  index_connectors(draft);
  index_wires(draft);
  index_plan(draft);
  add_found_wires(draft);
  for (const CircuitChange& change : report.changes) propose(draft, report.circuits[change.circuit], change);
  return std::move(draft.result);
}

}  // namespace loomgraft
