#include "loom/plan.h"

#include <algorithm>
#include <map>
#include <set>

#include "loom/routes.h"

namespace loomgraft {
namespace {

struct Application {
  std::map<std::string, Wire> wires;
  Problems problems;

  void refuse(std::size_t step, ProblemCode code, std::string message, std::string remedy) {
    problems.push_back({Severity::error,
                        code,
                        {"", 0, 0, "/plan/" + std::to_string(step)},
                        std::move(message),
                        std::move(remedy)});
  }
};

std::string print(const WireEnd& end) {
  return end.at.empty() ? "an open end" : end.at + " " + end.cavity;
}

void retire(Application& loom, std::size_t index, const PlanStep& step) {
  if (loom.wires.erase(step.wire) > 0) return;
  loom.refuse(index, "unknown-wire", "The step retires wire \"" + step.wire + "\", which is not in the loom.",
              "Name a wire of the loom, or remove the step.");
}

void move(Application& loom, std::size_t index, const PlanStep& step) {
  const auto found = loom.wires.find(step.wire);
  if (found == loom.wires.end()) {
    loom.refuse(index, "unknown-wire", "The step moves wire \"" + step.wire + "\", which is not in the loom.",
                "Name a wire of the loom, or remove the step.");
    return;
  }
  Wire& wire = found->second;
  if (wire.from == step.from) {
    wire.from = step.to;
  } else if (wire.to == step.from) {
    wire.to = step.to;
  } else {
    loom.refuse(index, "end-elsewhere", "Wire \"" + step.wire + "\" has no end at " + print(step.from) + ".",
                "Give the place where the end is now: " + print(wire.from) + " or " + print(wire.to) + ".");
  }
}

void add(Application& loom, std::size_t index, const PlanStep& step) {
  if (!step.added || step.added->id.empty()) {
    loom.refuse(index, "nothing-added", "The step adds a wire but does not describe it.",
                "Give the wire in \"added\", with an id.");
  } else if (!loom.wires.emplace(step.added->id, *step.added).second) {
    loom.refuse(index, "id-taken", "A wire with the id \"" + step.added->id + "\" is in the loom already.",
                "Give the added wire another id.");
  }
}

using Holders = std::map<WireEnd, std::vector<std::string>>;

// The cavities that `wire` occupies; a device terminal may hold several wires, a connector cavity holds one.
void note_ends(const Wire& wire, const std::set<std::string>& devices, Holders& holders) {
  for (const WireEnd& end : {wire.from, wire.to}) {
    if (!end.at.empty() && !end.cavity.empty() && !devices.contains(end.at)) holders[end].push_back(wire.id);
  }
}

void report_shared_ends(Application& loom, const std::vector<PlanStep>& plan,
                        const std::set<std::string>& devices) {
  Holders holders;
  for (const auto& [id, wire] : loom.wires) note_ends(wire, devices, holders);
  for (std::size_t i = 0; i < plan.size(); ++i) {
    const bool adds = plan[i].action == PlanAction::add && plan[i].added;
    const std::vector<WireEnd> targets = plan[i].action == PlanAction::move ? std::vector<WireEnd>{plan[i].to}
                                         : adds ? std::vector<WireEnd>{plan[i].added->from, plan[i].added->to}
                                                : std::vector<WireEnd>{};
    for (const WireEnd& target : targets) {
      const auto found = holders.find(target);
      if (found == holders.end() || found->second.size() < 2) continue;
      loom.refuse(
          i, "place-shared",
          "After the plan, " + print(target) + " holds " + std::to_string(found->second.size()) + " wires.",
          "A cavity holds one terminal: move or retire the other wire, or join them at a splice.");
    }
  }
}

}  // namespace

PlannedWires apply_plan(const std::vector<Wire>& wires, const std::vector<PlanStep>& plan,
                        const std::set<std::string>& devices) {
  Application loom;
  for (const Wire& wire : wires) loom.wires.emplace(wire.id, wire);
  // Retirements free ids and places first, whatever the order in which the steps were written.
  for (const PlanAction action : {PlanAction::retire, PlanAction::move, PlanAction::add}) {
    for (std::size_t i = 0; i < plan.size(); ++i) {
      if (plan[i].action != action) continue;
      if (action == PlanAction::retire) retire(loom, i, plan[i]);
      if (action == PlanAction::move) move(loom, i, plan[i]);
      if (action == PlanAction::add) add(loom, i, plan[i]);
    }
  }
  report_shared_ends(loom, plan, devices);
  PlannedWires planned;
  for (auto& [id, wire] : loom.wires) planned.wires.push_back(std::move(wire));
  planned.problems = std::move(loom.problems);
  return planned;
}

PlannedWires as_planned(const Graft& graft) {
  std::set<std::string> devices;
  for (const Device& device : graft.devices) devices.insert(device.id);
  PlannedWires planned = apply_plan(graft.wires, graft.plan, devices);
  follow_shortest_ways(graft, planned.wires);
  return planned;
}

std::vector<PlanStep> reversed(const std::vector<PlanStep>& plan, const std::vector<Wire>& as_found) {
  std::vector<PlanStep> back;
  for (auto at = plan.rbegin(); at != plan.rend(); ++at) {
    const PlanStep& step = *at;
    PlanStep undo = step;
    if (step.action == PlanAction::move) {
      std::swap(undo.from, undo.to);
    } else if (step.action == PlanAction::add) {
      undo.action = PlanAction::retire;
      if (step.added) undo.wire = step.added->id;
      undo.added.reset();
    } else {
      undo.action = PlanAction::add;
      const auto wire =
          std::find_if(as_found.begin(), as_found.end(), [&](const Wire& w) { return w.id == step.wire; });
      if (wire != as_found.end()) undo.added = *wire;
    }
    back.push_back(std::move(undo));
  }
  return back;
}

}  // namespace loomgraft
