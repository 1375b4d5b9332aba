#include "diagram/choice.h"

#include <algorithm>
#include <deque>
#include <set>

#include "loom/plan.h"
#include "text/natural_order.h"

namespace loomgraft::diagram {
namespace {

Problem problem(Severity severity, ProblemCode code, std::string pointer, std::string message,
                std::string remedy) {
  return {severity, code, {"", 0, 0, std::move(pointer)}, std::move(message), std::move(remedy)};
}

// ---- loom states

std::map<std::string, const Wire*> first_of_each_id(const std::vector<Wire>& wires, Problems& problems) {
  std::map<std::string, const Wire*> by_id;
  for (std::size_t i = 0; i < wires.size(); ++i) {
    if (by_id.emplace(wires[i].id, &wires[i]).second) continue;
    problems.push_back(problem(Severity::warning, "duplicate-id", "/wires/" + std::to_string(i),
                               "The wire id \"" + wires[i].id + "\" is used twice; the first wire is drawn.",
                               "Give each wire an id of its own."));
  }
  return by_id;
}

ChosenWire both_states(const Wire& found, const Wire& planned) {
  ChosenWire chosen{planned, WireState::kept, {}, {}};
  if (found.from == planned.from && found.to == planned.to) return chosen;
  chosen.state = WireState::moved;
  chosen.old_from = found.from;
  chosen.old_to = found.to;
  return chosen;
}

std::vector<ChosenWire> wires_shown(const Graft& graft, DiagramShow show, Problems& problems) {
  const std::map<std::string, const Wire*> found = first_of_each_id(graft.wires, problems);
  std::vector<ChosenWire> shown;
  if (show == DiagramShow::found) {
    for (const auto& [id, wire] : found) shown.push_back({*wire, WireState::kept, {}, {}});
    return shown;
  }
  PlannedWires planned = as_planned(graft);
  for (Problem& p : planned.problems) problems.push_back(std::move(p));
  std::set<std::string> kept;
  for (const Wire& wire : planned.wires) {
    const auto before = found.find(wire.id);
    kept.insert(wire.id);
    if (show == DiagramShow::planned) {
      shown.push_back({wire, WireState::kept, {}, {}});
    } else if (before == found.end()) {
      shown.push_back({wire, WireState::added, {}, {}});
    } else {
      shown.push_back(both_states(*before->second, wire));
    }
  }
  if (show == DiagramShow::planned) return shown;
  for (const auto& [id, wire] : found) {
    if (!kept.contains(id)) shown.push_back({*wire, WireState::retired, {}, {}});
  }
  return shown;
}

// ---- what a selection reaches

bool is_supply(DeviceBuild build) {
  return build == DeviceBuild::fuse || build == DeviceBuild::key_switch;
}

bool stops(DeviceBuild build) {
  return build == DeviceBuild::battery || build == DeviceBuild::earth || build == DeviceBuild::alternator;
}

bool is_coil(const std::string& terminal) {
  return terminal == "85" || terminal == "86";
}

class Reach {
 public:
  Reach(const std::vector<ChosenWire>& wires, const DiagramIndex& index) : wires_(wires), index_(index) {
    for (std::size_t i = 0; i < wires.size(); ++i) {
      for (const WireEnd& end : {wires[i].wire.from, wires[i].wire.to})
        if (!end.at.empty()) at_part_[index.part_of(end)].push_back(i);
    }
    measure_to_battery();
  }

  std::set<std::size_t> from(const std::vector<std::size_t>& first) {
    for (const std::size_t wire : first) visit(wire, false);
    while (!waiting_.empty()) {
      const Visit now = waiting_.front();
      waiting_.pop_front();
      for (const WireEnd& end : {wires_[now.wire].wire.from, wires_[now.wire].wire.to}) follow(end, now.up);
    }
    std::set<std::size_t> reached;
    for (const auto& [wire, up] : seen_) reached.insert(wire);
    return reached;
  }

 private:
  struct Visit {
    std::size_t wire;
    bool up;  // towards the battery only
  };

  void visit(std::size_t wire, bool up) {
    const auto [seen, is_new] = seen_.emplace(wire, up);
    if (!is_new && (up || !seen->second)) return;
    seen->second = up;
    waiting_.push_back({wire, up});
  }

  std::size_t distance(const PartKey& part) const {
    const auto found = to_battery_.find(part);
    return found == to_battery_.end() ? static_cast<std::size_t>(-1) : found->second;
  }

  DeviceBuild build_of(const PartKey& part) const {
    return part.kind == PartKind::device ? index_.build_of(part.id) : DeviceBuild::unknown;
  }

  // No path to the battery leads through modules and earths.
  bool leads_on(const PartKey& part) const {
    return part.kind != PartKind::module && build_of(part) != DeviceBuild::earth;
  }

  void measure_to_battery() {
    std::deque<PartKey> waiting;
    for (const auto& [part, list] : at_part_) {
      if (build_of(part) == DeviceBuild::battery) {
        to_battery_[part] = 0;
        waiting.push_back(part);
      }
    }
    while (!waiting.empty()) {
      const PartKey part = waiting.front();
      waiting.pop_front();
      for (const std::size_t wire : at_part_[part]) {
        if (goes_to_coil(wires_[wire].wire)) continue;
        for (const WireEnd& end : {wires_[wire].wire.from, wires_[wire].wire.to}) {
          const PartKey next = index_.part_of(end);
          if (next.kind == PartKind::none || !leads_on(next) || to_battery_.contains(next)) continue;
          to_battery_[next] = to_battery_[part] + 1;
          waiting.push_back(next);
        }
      }
    }
  }

  void go_up(const PartKey& part) {
    for (const std::size_t wire : at_part_[part]) {
      if (goes_to_coil(wires_[wire].wire)) continue;
      for (const WireEnd& end : {wires_[wire].wire.from, wires_[wire].wire.to}) {
        const PartKey next = index_.part_of(end);
        if (next.kind != PartKind::none && next != part && distance(next) < distance(part)) visit(wire, true);
      }
    }
  }

  void follow(const WireEnd& end, bool up) {
    const PartKey part = index_.part_of(end);
    if (part.kind == PartKind::none || part.kind == PartKind::module) return;
    const DeviceBuild build = build_of(part);
    if (stops(build)) return;
    if (part.kind == PartKind::connector) {
      for (const std::size_t wire : at_part_[part]) follow_cavity(wire, part, end.cavity, up);
    } else if (up || is_supply(build)) {
      go_up(part);
    } else if (build == DeviceBuild::relay && !is_coil(end.cavity)) {
      go_up(part);
      for (const std::size_t wire : at_part_[part]) {
        if (ends_at_coil(wires_[wire].wire, end.at)) visit(wire, false);
      }
    } else {
      for (const std::size_t wire : at_part_[part])
        visit(wire, build == DeviceBuild::relay && !ends_at_coil(wires_[wire].wire, end.at));
    }
  }

  // Through a mated pair, or to the second wire of a cavity.
  void follow_cavity(std::size_t wire, const PartKey& part, const std::string& cavity, bool up) {
    for (const WireEnd& end : {wires_[wire].wire.from, wires_[wire].wire.to}) {
      if (end.cavity == cavity && index_.part_of(end) == part) visit(wire, up);
    }
  }

  // A relay's coil is a load of the supply, not a path to it.
  bool goes_to_coil(const Wire& wire) const {
    const auto is_one = [&](const WireEnd& end) {
      return is_coil(end.cavity) && index_.build_of(end.at) == DeviceBuild::relay;
    };
    return is_one(wire.from) || is_one(wire.to);
  }

  static bool ends_at_coil(const Wire& wire, const std::string& relay) {
    return (wire.from.at == relay && is_coil(wire.from.cavity)) ||
           (wire.to.at == relay && is_coil(wire.to.cavity));
  }

  const std::vector<ChosenWire>& wires_;
  const DiagramIndex& index_;
  std::map<PartKey, std::vector<std::size_t>> at_part_;
  std::map<PartKey, std::size_t> to_battery_;
  std::map<std::size_t, bool> seen_;
  std::deque<Visit> waiting_;
};

bool names_circuit(const ChosenWire& chosen, const DiagramIndex& index, const std::string& name) {
  const Wire& wire = chosen.wire;
  if (wire.id == name || wire.signal == name) return true;
  for (const WireEnd& end : {wire.from, wire.to, chosen.old_from, chosen.old_to}) {
    if (end.at.empty()) continue;
    if (const Device* device = index.device(end.at); device && (device->id == name || device->name == name))
      return true;
    if (const Pin* pin = index.pin(end); pin && (pin->signal == name || pin->term == name)) return true;
  }
  return false;
}

const Module* module_named(const Graft& graft, const std::string& name) {
  for (const Module& m : graft.modules) {
    if (m.id == name) return &m;
  }
  for (const Module& m : graft.modules) {
    if (m.name == name) return &m;
  }
  return nullptr;
}

void keep_reached(std::vector<ChosenWire>& wires, const DiagramIndex& index,
                  const std::vector<std::size_t>& first) {
  const std::set<std::size_t> reached = Reach(wires, index).from(first);
  std::vector<ChosenWire> kept;
  kept.reserve(reached.size());
  for (const std::size_t i : reached) kept.push_back(std::move(wires[i]));
  wires = std::move(kept);
}

void select_circuit(Choice& choice, const DiagramIndex& index, const std::string& name) {
  std::vector<std::size_t> first;
  for (std::size_t i = 0; i < choice.wires.size(); ++i) {
    if (names_circuit(choice.wires[i], index, name)) first.push_back(i);
  }
  if (first.empty()) {
    choice.problems.push_back(problem(
        Severity::error, "no-such-circuit", "/wires", "No wire, device or signal is called \"" + name + "\".",
        "Give the id of a wire or device, or a signal as it is written in the document."));
  }
  keep_reached(choice.wires, index, first);
}

void select_module(Choice& choice, const Graft& graft, const DiagramIndex& index, const std::string& name) {
  const Module* module = module_named(graft, name);
  if (module == nullptr) {
    std::string names;
    for (const Module& m : graft.modules) names += (names.empty() ? "" : ", ") + m.id;
    choice.problems.push_back(problem(Severity::error, "no-such-module", "/modules",
                                      "The document has no module \"" + name + "\".",
                                      "Give one of: " + names + "."));
    choice.wires.clear();
    return;
  }
  std::vector<std::size_t> first;
  for (std::size_t i = 0; i < choice.wires.size(); ++i) {
    const ChosenWire& w = choice.wires[i];
    for (const WireEnd& end : {w.wire.from, w.wire.to, w.old_from, w.old_to}) {
      if (!end.at.empty() && index.module_of(end.at) == module) first.push_back(i);
    }
  }
  keep_reached(choice.wires, index, first);
  choice.modules.push_back(module);
}

// A document may hold pin tables and no wire yet: then the pins are the drawing.
void show_pins_without_wires(Choice& choice, const Graft& graft) {
  if (!choice.wires.empty() || graft.modules.empty()) return;
  const auto found = std::find_if(graft.modules.begin(), graft.modules.end(),
                                  [](const Module& m) { return m.role == ModuleRole::found; });
  choice.modules.push_back(found == graft.modules.end() ? &graft.modules.front() : &*found);
}

}  // namespace

Choice choose_wires(const Graft& graft, const DiagramIndex& index, const DiagramOptions& options) {
  Choice choice;
  choice.wires = wires_shown(graft, options.show, choice.problems);
  std::stable_sort(choice.wires.begin(), choice.wires.end(), [](const ChosenWire& a, const ChosenWire& b) {
    return natural_compare(a.wire.id, b.wire.id) < 0;
  });
  if (!options.module.empty()) {
    select_module(choice, graft, index, options.module);
  } else if (options.circuit.empty()) {
    show_pins_without_wires(choice, graft);
  }
  if (!options.circuit.empty()) select_circuit(choice, index, options.circuit);
  return choice;
}

}  // namespace loomgraft::diagram
