#include "design/altered.h"

#include <algorithm>
#include <map>

#include "loom/forbidden.h"
#include "loom/part_text.h"
#include "loom/plan.h"
#include "network/cavity_pins.h"
#include "standards/device_kinds.h"

namespace loomgraft::design {
namespace {

bool carries_only(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind && is_shared(kind->build);
}

bool touches_forbidden(const ForbiddenParts& forbidden, const Wire& wire) {
  return forbidden.wires.contains(wire.id) || forbidden.has(wire.from) || forbidden.has(wire.to);
}

std::vector<const Device*> consumers_of(const Graft& graft, const Wire& wire) {
  std::vector<const Device*> found;
  for (const WireEnd& end : {wire.from, wire.to}) {
    const Device* device = find_device(graft, end.at);
    if (device && !carries_only(*device)) found.push_back(device);
  }
  return found;
}

// Circuits while they are collected: a wire that joins two of them makes them one.
class CircuitGroups {
 public:
  void add(const Wire& wire, const std::vector<const Device*>& devices) {
    std::size_t target = circuits_.size();
    for (const Device* device : devices) {
      const auto known = circuit_of_.find(device->id);
      if (known != circuit_of_.end()) target = std::min(target, known->second);
    }
    if (target == circuits_.size()) circuits_.emplace_back();
    for (const Device* device : devices) join(target, *device);
    AlteredCircuit& circuit = circuits_[target];
    circuit.wires.push_back(wire.id);
    if (circuit.id.empty()) {
      circuit.id = wire.id;
      circuit.name = wire.signal.empty() ? wire.id : wire.signal;
    }
  }

  std::vector<AlteredCircuit> take() {
    std::erase_if(circuits_, [](const AlteredCircuit& circuit) { return circuit.wires.empty(); });
    return std::move(circuits_);
  }

 private:
  void join(std::size_t target, const Device& device) {
    const auto known = circuit_of_.find(device.id);
    if (known == circuit_of_.end()) {
      if (circuits_[target].devices.empty() && circuits_[target].wires.empty()) {
        circuits_[target].id = device.id;
        circuits_[target].name = device_name(device);
      }
      circuits_[target].devices.push_back(device.id);
      circuit_of_[device.id] = target;
      return;
    }
    const std::size_t other = known->second;
    if (other == target) return;
    for (const std::string& id : circuits_[other].devices) {
      circuits_[target].devices.push_back(id);
      circuit_of_[id] = target;
    }
    auto& wires = circuits_[target].wires;
    wires.insert(wires.end(), circuits_[other].wires.begin(), circuits_[other].wires.end());
    circuits_[other] = {};
  }

  std::vector<AlteredCircuit> circuits_;
  std::map<std::string, std::size_t> circuit_of_;
};

// Ids of the wires that the plan touches, in its order.
std::vector<std::string> touched(const Graft& graft, std::set<std::string>& added) {
  std::vector<std::string> ids;
  const auto note = [&](const std::string& id) {
    if (std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
  };
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::move) note(step.wire);
    if (step.action == PlanAction::add && step.added) {
      note(step.added->id);
      added.insert(step.added->id);
    }
  }
  return ids;
}

Problem forbidden_problem(const std::string& wire) {
  return {Severity::error,
          "forbidden",
          {},
          "Wire " + wire + " touches a restraint or high-voltage circuit; it was not designed.",
          "Leave such circuits alone: they are for trained people with the maker's procedure."};
}

}  // namespace

const std::string& device_name(const Device& device) {
  return device_text(device);
}

const Device* find_device(const Graft& graft, std::string_view id) {
  const auto found = std::find_if(graft.devices.begin(), graft.devices.end(),
                                  [&](const Device& device) { return device.id == id; });
  return found == graft.devices.end() ? nullptr : &*found;
}

std::optional<Metres> terminal_width_at(const Graft& graft, const WireEnd& end) {
  const Connector* connector = find_connector(graft, end.at);
  if (!connector) return std::nullopt;
  for (const CavityRow& row : connector->rows) {
    if (std::find(row.cavities.begin(), row.cavities.end(), end.cavity) == row.cavities.end()) continue;
    if (row.terminal_width.si > 0) return row.terminal_width;
  }
  return std::nullopt;
}

AlteredLoom altered_loom(const Graft& graft, ForbiddenParts forbidden) {
  AlteredLoom loom;
  PlannedWires planned = as_planned(graft);
  loom.problems = std::move(planned.problems);
  CircuitGroups groups;
  loom.forbidden = std::move(forbidden);
  const WireTexts texts(graft, planned.wires);
  for (const std::string& id : touched(graft, loom.added)) {
    const auto wire = std::find_if(planned.wires.begin(), planned.wires.end(),
                                   [&](const Wire& item) { return item.id == id; });
    if (wire == planned.wires.end()) continue;
    if (touches_forbidden(loom.forbidden, *wire)) {
      loom.problems.push_back(forbidden_problem(texts.of(wire->id)));
      continue;
    }
    groups.add(*wire, consumers_of(graft, *wire));
    loom.wires.push_back(*wire);
  }
  loom.circuits = groups.take();
  return loom;
}

}  // namespace loomgraft::design
