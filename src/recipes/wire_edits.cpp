#include "recipes/wire_edits.h"

#include <algorithm>

#include "loom/plan.h"
#include "recipes/parts_internal.h"

namespace loomgraft::recipes {
namespace {

Wire* added_wire(Graft& graft, std::string_view id) {
  for (PlanStep& step : graft.plan) {
    if (step.added && step.added->id == id) return &*step.added;
  }
  return nullptr;
}

void move_end(Graft& graft, const Wire& planned, const WireEnd& to) {
  const auto moved = std::ranges::find_if(graft.plan, [&](const PlanStep& step) {
    return step.action == PlanAction::move && step.wire == planned.id && step.to == planned.to;
  });
  if (moved == graft.plan.end()) {
    PlanStep step;
    step.action = PlanAction::move;
    step.wire = planned.id;
    step.from = planned.to;
    step.to = to;
    step.reason = "a part is put into this wire";
    graft.plan.push_back(std::move(step));
    return;
  }
  moved->to = to;
  if (moved->from == moved->to) graft.plan.erase(moved);
}

}  // namespace

Completion refused(const Graft& graft, std::string message, std::string remedy) {
  return {graft, {}, {}, {{Severity::error, "not-editable", {}, std::move(message), std::move(remedy)}}};
}

bool is_guessed(const Graft& graft, std::string_view wire) {
  const Wire* known = find_by_id(graft.wires, wire);
  return known && known->guessed;
}

void lead_to(Graft& graft, const Wire& planned, const WireEnd& to, bool guessed) {
  Wire* wire = added_wire(graft, planned.id);
  if (!wire && guessed) wire = find_by_id(graft.wires, planned.id);
  if (!wire) return move_end(graft, planned, to);
  (wire->to == planned.to ? wire->to : wire->from) = to;
}

void add_rest(Completion& result, const Wire& planned, const WireEnd& from, const WireEnd& to, bool guessed) {
  Wire wire;
  wire.id = free_id(result.graft, (guessed ? "w_" : "new_") + from.at);
  wire.signal = planned.signal;
  wire.from = from;
  wire.to = to;
  wire.colour = planned.colour;
  wire.area = planned.area;
  wire.insulation = planned.insulation;
  wire.guessed = guessed;
  result.wires.push_back(wire.id);
  if (guessed) {
    result.graft.wires.push_back(std::move(wire));
    return;
  }
  PlanStep step;
  step.action = PlanAction::add;
  step.added = std::move(wire);
  step.reason = "the rest of the wire";
  result.graft.plan.push_back(std::move(step));
}

Wire from_the_module(const Graft& graft, const Wire& wire) {
  Wire turned = wire;
  if (find_by_id(graft.connectors, wire.to.at) && !find_by_id(graft.connectors, wire.from.at))
    std::swap(turned.from, turned.to);
  return turned;
}

}  // namespace loomgraft::recipes
