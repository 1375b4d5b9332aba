// What can be wrong with devices and with the pins of modules.
#include <algorithm>

#include "loom/end_id.h"
#include "network/cavity_pins.h"
#include "network/fault_list_internal.h"
#include "standards/pin_states.h"
#include "units/print.h"

namespace loomgraft::network {
namespace {

// Plugs of devices in which an exchange matters: three terminals, or polarised ones.
void add_device_swaps(FaultList& list, const Device& device) {
  const FaultScope& scope = list.scope();
  std::vector<std::pair<WireEnd, const Wire*>> held;
  for (const Wire* wire : scope.wires) {
    for (const WireEnd* end : {&wire->from, &wire->to}) {
      if (end->at == device.id && !end->cavity.empty()) held.emplace_back(*end, wire);
    }
  }
  std::ranges::sort(held, {}, [](const auto& item) { return item.first; });
  for (std::size_t i = 0; i < held.size(); ++i) {
    for (std::size_t j = i + 1; j < held.size(); ++j) {
      const bool altered = is_altered(scope, held[i].second) || is_altered(scope, held[j].second);
      if (altered && held[i].first != held[j].first && held[i].second != held[j].second)
        add_swap(list, held[i].first, held[j].first, *held[i].second, *held[j].second);
    }
  }
}

bool has_altered_wire(const FaultScope& scope, const Device& device) {
  return std::ranges::any_of(scope.wires, [&](const Wire* wire) {
    return is_altered(scope, wire) && (wire->from.at == device.id || wire->to.at == device.id);
  });
}

bool is_switched(PinClass pin_class) {
  return pin_class == PinClass::switch_to_earth_input || pin_class == PinClass::digital_sensor_input ||
         pin_class == PinClass::thermistor_input;
}

// What an output joins its pin to when it is on: a rail of its module. As the network names them.
FaultSubject rail_subject(const Module& module, const PinState& on) {
  const char* rail = on.leads_to == LeadsTo::earth ? "earth" : "battery feed";
  return FaultSubject::at({module.id, rail});
}

// The devices of the same build before and after one in the document: probably beside it in the vehicle.
std::vector<std::string> beside(const FaultScope& scope, const std::string& device, DeviceBuild build) {
  std::vector<std::string> row;
  for (const Device& one : scope.frame.graft.devices) {
    if (build_of(scope.frame, one.id) == build && !scope.frame.forbidden.has_device(one.id))
      row.push_back(one.id);
  }
  const auto own = std::ranges::find(row, device);
  std::vector<std::string> found;
  if (own == row.end()) return found;
  if (own != row.begin()) found.push_back(*(own - 1));
  if (own + 1 != row.end()) found.push_back(*(own + 1));
  return found;
}

void add_wrong_coil(FaultList& list, const Device& device, const Repair& replace, bool added) {
  const bool at_12 = list.scope().frame.system == SystemVolts::nominal_12;
  list.add(at_12 ? FaultKind::coil_for_24_v : FaultKind::coil_for_12_v, {FaultSubject::device(device.id)},
           end_name(list.scope().frame, {device.id, {}}) + " has a coil for " + (at_12 ? "24 V" : "12 V"),
           replace, added);
}

}  // namespace

void add_device_faults(FaultList& list, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind) return;
  const FaultScope& scope = list.scope();
  const bool added = has_altered_wire(scope, device);
  const std::string name = end_name(scope.frame, {device.id, {}});
  const Repair replace{"device " + device.id, "replace " + name};
  switch (kind->build) {
    case DeviceBuild::fuse:
      list.add(FaultKind::blown_fuse, {FaultSubject::device(device.id)}, name + " has blown or is missing",
               {"device " + device.id, "put a fuse of the right rating into " + name}, added);
      list.add(FaultKind::wrong_rating, {FaultSubject::device(device.id)},
               name + " has a higher rating than " +
                   (device.rating ? print(*device.rating) : std::string("its wires carry")),
               {"device " + device.id, "put a fuse of the right rating into " + name}, added);
      return;
    case DeviceBuild::contacts:
    case DeviceBuild::relay:
      list.add(FaultKind::opposite_contacts, {FaultSubject::device(device.id)},
               name + " is of the opposite kind", replace, added);
      if (kind->build != DeviceBuild::relay) return;
      list.add(FaultKind::open_device, {FaultSubject::device(device.id)}, name + " has an open coil", replace,
               added);
      add_wrong_coil(list, device, replace, added);
      add_device_swaps(list, device);
      return;
    case DeviceBuild::diode:
    case DeviceBuild::led:
      list.add(FaultKind::reversed_diode, {FaultSubject::device(device.id)}, name + " is the wrong way round",
               {"turn " + device.id, "turn " + name + " round"}, added);
      list.add(FaultKind::open_device, {FaultSubject::device(device.id)}, name + " is missing or open",
               replace, added);
      add_device_swaps(list, device);
      return;
    case DeviceBuild::resistor:
      if (kind->name == "resistor") {  // heaters have no colour code to misread
        list.add(FaultKind::resistor_too_large, {FaultSubject::device(device.id)},
                 name + " has ten times the resistance", replace, added);
        list.add(FaultKind::resistor_too_small, {FaultSubject::device(device.id)},
                 name + " has a tenth of the resistance", replace, added);
      }
      list.add(FaultKind::open_device, {FaultSubject::device(device.id)}, name + " is open inside", replace,
               added);
      return;
    case DeviceBuild::potentiometer:
    case DeviceBuild::sensor:
      add_device_swaps(list, device);
      [[fallthrough]];
    case DeviceBuild::coil:
    case DeviceBuild::motor:
    case DeviceBuild::lamp:
    case DeviceBuild::thermistor:
    case DeviceBuild::pair:
      list.add(FaultKind::open_device, {FaultSubject::device(device.id)}, name + " is open inside", replace,
               added);
      return;
    default:
      return;
  }
}

void add_pin_faults(FaultList& list, const Wire& wire, const WireEnd& end) {
  const FaultScope& scope = list.scope();
  const PinAt found = pin_at(scope.frame.graft, end);
  if (!found.pin || is_forbidden(scope.frame, end)) return;
  const bool added = is_altered(scope, &wire);
  const std::string where = end_name(scope.frame, end);
  const Repair inside{"pin " + end_id(end), "find another output or input: nothing works behind " + where};
  const PinModel& model = pin_model(found.pin->pin_class, PinSide::module, scope.frame.system);
  if (model.ratings.kind == PinKind::output && !model.states.empty()) {
    const FaultSubject rail = rail_subject(*found.module, model.states.front());
    list.add(FaultKind::dead_driver, {FaultSubject::at(end)}, "the output " + where + " does not work",
             inside, added);
    if (Fault* stuck = list.add(FaultKind::stuck_driver, {FaultSubject::at(end), rail},
                                "the output " + where + " is always on", inside, added))
      stuck->ohms = Ohms{(model.states.front().lowest.si + model.states.front().highest.si) / 2};
    list.add(FaultKind::leaking_driver, {FaultSubject::at(end), rail},
             "the output " + where + " leaks when it is off", inside, added);
  }
  if (is_switched(found.pin->pin_class))
    list.add(FaultKind::missing_pull_up, {FaultSubject::at(end)}, "the input " + where + " has no pull-up",
             inside, added);
  if (model.ratings.kind == PinKind::input || model.ratings.kind == PinKind::sensor)
    list.add(FaultKind::blown_input, {FaultSubject::at(end), FaultSubject::at({found.module->id, "earth"})},
             "the input " + where + " is shorted inside the module", inside, added);
}

void add_wrong_point(FaultList& list, const Wire& wire, const WireEnd& end) {
  const FaultScope& scope = list.scope();
  const DeviceBuild build = build_of(scope.frame, end.at);
  const bool fuse = build == DeviceBuild::fuse;
  if (!is_altered(scope, &wire) || (!fuse && build != DeviceBuild::earth)) return;
  for (const std::string& other : beside(scope, end.at, build)) {
    const WireEnd there{other, end.cavity};
    list.add(fuse ? FaultKind::wrong_fuse : FaultKind::wrong_earth,
             {FaultSubject::at(end), FaultSubject::at(there), FaultSubject::wire(wire.id)},
             text_of(scope, wire) + " is at " + end_name(scope.frame, there) + " instead of " +
                 end_name(scope.frame, end),
             {"move " + end_id(there) + " " + end_id(end), "move " + text_of(scope, wire) + " from " +
                                                               end_name(scope.frame, there) + " to " +
                                                               end_name(scope.frame, end)},
             true);
  }
}

}  // namespace loomgraft::network
