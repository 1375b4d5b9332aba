#include "network/faults.h"

#include <algorithm>
#include <array>
#include <set>

#include "loom/end_id.h"
#include "loom/face.h"
#include "network/cavity_pins.h"
#include "network/fault_scope.h"
#include "network/joined_ends.h"
#include "standards/fault_odds.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"

namespace loomgraft {
namespace {

constexpr std::array kind_names{"wire_open",       "terminal_unseated", "bad_joint",         "short_to_earth",
                                "short_to_supply", "bridged_cavities",  "chafed_together",   "swapped_wires",
                                "one_cavity_off",  "mirrored_plug",     "opposite_contacts", "reversed_diode",
                                "missing_pull_up", "dead_driver",       "blown_fuse",        "open_device"};
constexpr std::array harm_names{"none", "false_signal", "damage", "fire"};

// Wires that run together: which of them lie side by side is not known, so each is paired with the next few.
constexpr std::size_t bundle_reach = 3;
// A plug whose mirror image is worth suspecting.
constexpr int mirrored_from = 3;

struct Repair {
  std::string id;
  std::string text;
};

bool is_signal_end(const FaultScope& scope, const WireEnd& end) {
  switch (build_of(scope.frame, end.at)) {
    case DeviceBuild::thermistor:
    case DeviceBuild::potentiometer:
    case DeviceBuild::sensor:
    case DeviceBuild::pair:
      return true;
    default:
      break;
  }
  const auto pin = scope.frame.pins.find({end.at, end.cavity});
  if (pin == scope.frame.pins.end()) return false;
  switch (pin->second.pin->pin_class) {
    case PinClass::voltage_input:
    case PinClass::thermistor_input:
    case PinClass::digital_sensor_input:
    case PinClass::variable_reluctance:
    case PinClass::knock:
    case PinClass::oxygen_sensor:
    case PinClass::switch_to_earth_input:
    case PinClass::switch_to_supply_input:
    case PinClass::serial_line:
      return true;
    default:
      return false;
  }
}

class FaultList {
 public:
  FaultList(const FaultScope& scope, const FaultOptions& options) : scope_(scope) {
    const SystemVolts system = scope.frame.system;
    joint_ = Ohms{options.joint_ohms > 0.0 ? options.joint_ohms
                                           : network_figure("bad_joint_ohm", system).middle()};
    signal_joint_ =
        options.joint_ohms > 0.0 ? joint_ : Ohms{network_figure("bad_signal_joint_ohm", system).middle()};
    touch_ = Ohms{network_figure("touch_ohm", system).middle()};
  }

  // `of_signal`: in the wire of a sensor or input. A joint of an ohm does nothing to some thousand; it takes some hundred.
  void add(FaultKind kind, std::vector<FaultSubject> subjects, std::string text, Repair repair, bool added,
           bool of_signal = false) {
    Fault fault;
    fault.kind = kind;
    fault.id = name_of(kind);
    const std::size_t named = kind == FaultKind::mirrored_plug ? 1 : subjects.size();
    for (std::size_t k = 0; k < named; ++k) fault.id += " " + subject_id(subjects[k]);
    if (!ids_.insert(fault.id).second) return;
    const FaultOdds& odds = fault_odds(name_of(kind));
    fault.subjects = std::move(subjects);
    fault.text = std::move(text);
    fault.repair = std::move(repair.id);
    fault.repair_text = std::move(repair.text);
    fault.prior = added ? odds.new_weight : odds.old_weight;
    fault.prior_source = odds.source + " (" + odds.status + ")";
    fault.added = added;
    fault.ohms = kind == FaultKind::bad_joint && of_signal ? signal_joint_ : ohms_of(kind);
    faults_.push_back(std::move(fault));
  }

  std::vector<Fault> take() {
    // Weights only compare kinds; how likely it is that there is a fault at all is for the search to say.
    double sum = 0.0;
    for (const Fault& fault : faults_) sum += fault.prior;
    for (Fault& fault : faults_) fault.prior /= sum;
    return std::move(faults_);
  }

  const FaultScope& scope() const { return scope_; }

 private:
  Ohms ohms_of(FaultKind kind) const {
    switch (kind) {
      case FaultKind::bad_joint:
        return joint_;
      case FaultKind::short_to_earth:
      case FaultKind::short_to_supply:
      case FaultKind::bridged_cavities:
      case FaultKind::chafed_together:
        return touch_;
      default:
        return {};
    }
  }

  const FaultScope& scope_;
  Ohms joint_;
  Ohms signal_joint_;
  Ohms touch_;
  std::vector<Fault> faults_;
  std::set<std::string> ids_;
};

std::string text_of(const FaultScope& scope, const Wire& wire) {
  return "wire " + scope.frame.wire_texts.of(wire.id);
}

std::string text_of(const FaultScope& scope, const Wire& one, const Wire& other) {
  return "wires " + scope.frame.wire_texts.of(one.id) + " and " + scope.frame.wire_texts.of(other.id);
}

Repair wire_repair(const FaultScope& scope, const Wire& wire) {
  return {"wire " + wire.id, "repair or replace " + text_of(scope, wire)};
}

Repair terminal_repair(const FaultScope& scope, const WireEnd& end) {
  return {"terminal " + end_id(end), "reseat or remake the terminal in " + end_name(scope.frame, end)};
}

void add_joint_faults(FaultList& list, const Wire& wire, const WireEnd& end, bool added) {
  if (end.at.empty()) return;
  const FaultScope& scope = list.scope();
  const std::string where = end_name(scope.frame, end);
  const DeviceBuild build = build_of(scope.frame, end.at);
  const bool hub = build == DeviceBuild::splice || build == DeviceBuild::earth;
  const Repair repair = hub ? Repair{"joint " + end.at + " " + wire.id,
                                     "remake the joint of " + text_of(scope, wire) + " at " + where}
                            : terminal_repair(scope, end);
  if (!hub && build != DeviceBuild::battery)
    list.add(FaultKind::terminal_unseated, {FaultSubject::at(end), FaultSubject::wire(wire.id)},
             "the terminal of " + text_of(scope, wire) + " is not seated in " + where, repair, added);
  list.add(FaultKind::bad_joint, {FaultSubject::at(end), FaultSubject::wire(wire.id)},
           text_of(scope, wire) + " has a bad joint at " + where, repair, added,
           is_signal_end(scope, wire.from) || is_signal_end(scope, wire.to));
}

std::string battery_of(const FaultScope& scope) {
  for (const Device& device : scope.frame.graft.devices) {
    if (build_of(scope.frame, device.id) == DeviceBuild::battery &&
        !scope.frame.forbidden.has_device(device.id))
      return device.id;
  }
  return {};
}

// Ends that are joined to the battery's plus without a fuse.
std::set<WireEnd> unfused_feed(const FaultScope& scope) {
  const EndNeighbours neighbours = end_neighbours(scope.frame.wires);
  std::set<WireEnd> feed;
  for (const Device& device : scope.frame.graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (!kind || kind->build != DeviceBuild::battery) continue;
    const auto ends =
        joined_ends(scope.frame.graft.devices, neighbours, {device.id, terminal_names(device).front()});
    feed.insert(ends.begin(), ends.end());
  }
  return feed;
}

// A wire to an earth point touches the body in a sound loom too, and one ahead of every fuse is a feed itself.
bool is_earthed(const FaultScope& scope, const Wire& wire) {
  return build_of(scope.frame, wire.from.at) == DeviceBuild::earth ||
         build_of(scope.frame, wire.to.at) == DeviceBuild::earth;
}

void add_wire_faults(FaultList& list, const std::string& battery) {
  const FaultScope& scope = list.scope();
  const std::set<WireEnd> feed = unfused_feed(scope);
  for (const Wire* one : scope.wires) {
    const Wire& wire = *one;
    const bool added = scope.altered.contains(wire.id);
    const std::string text = text_of(scope, wire);
    list.add(FaultKind::wire_open, {FaultSubject::wire(wire.id)}, text + " is broken",
             wire_repair(scope, wire), added);
    for (const WireEnd* end : {&wire.from, &wire.to}) add_joint_faults(list, wire, *end, added);
    if (!is_earthed(scope, wire))
      list.add(FaultKind::short_to_earth, {FaultSubject::wire(wire.id)}, text + " touches the body",
               wire_repair(scope, wire), added);
    if (!battery.empty() && !feed.contains(wire.from) && !feed.contains(wire.to))
      list.add(FaultKind::short_to_supply, {FaultSubject::wire(wire.id), FaultSubject::device(battery)},
               text + " touches a feed", wire_repair(scope, wire), added);
  }
}

// Wires on one path, each with the next few of them, one of the two added or moved.
void add_chafing(FaultList& list) {
  const FaultScope& scope = list.scope();
  std::map<std::string, std::vector<const Wire*>> along;
  for (const Wire* wire : scope.wires) {
    for (const std::string& path : wire->along) along[path].push_back(wire);
  }
  for (const auto& [path, wires] : along) {
    for (std::size_t i = 0; i < wires.size(); ++i) {
      for (std::size_t j = i + 1; j < std::min(wires.size(), i + 1 + bundle_reach); ++j) {
        const bool added = scope.altered.contains(wires[i]->id) || scope.altered.contains(wires[j]->id);
        if (!added) continue;
        const std::string both = text_of(scope, *wires[i], *wires[j]);
        list.add(FaultKind::chafed_together,
                 {FaultSubject::wire(wires[i]->id), FaultSubject::wire(wires[j]->id)},
                 both + " are chafed together",
                 {"pair " + wires[i]->id + " " + wires[j]->id, "part and insulate " + both}, added);
      }
    }
  }
}

bool is_altered(const FaultScope& scope, const Wire* wire) {
  return wire && scope.altered.contains(wire->id);
}

void add_swap(FaultList& list, const WireEnd& a, const WireEnd& b, const Wire& first, const Wire& second) {
  const FaultScope& scope = list.scope();
  const bool added = is_altered(scope, &first) || is_altered(scope, &second);
  const std::string where = end_name(scope.frame, a) + " and " + end_name(scope.frame, b);
  list.add(
      FaultKind::swapped_wires,
      {FaultSubject::at(a), FaultSubject::at(b), FaultSubject::wire(first.id), FaultSubject::wire(second.id)},
      text_of(scope, first, second) + " are in each other's place (" + where + ")",
      {"places " + end_id(a) + " " + end_id(b), "exchange the terminals in " + where}, added);
}

void add_neighbour_faults(FaultList& list, const Connector& connector, const FacePlace& place,
                          const Face& face) {
  const FaultScope& scope = list.scope();
  const WireEnd here{connector.id, place.cavity};
  const Wire* wire = allowed_wire_at(scope.frame, here);
  for (const Neighbour& beside : neighbours(face, place.cavity)) {
    const WireEnd there{connector.id, beside.cavity};
    if (is_forbidden(scope.frame, here) || is_forbidden(scope.frame, there)) continue;
    const Wire* other = allowed_wire_at(scope.frame, there);
    const bool added = is_altered(scope, wire) || is_altered(scope, other);
    if (!added) continue;
    const auto [low, high] = std::minmax(here, there);
    if (wire || other)
      list.add(
          FaultKind::bridged_cavities, {FaultSubject::at(low), FaultSubject::at(high)},
          "something joins " + end_name(scope.frame, low) + " and " + end_name(scope.frame, high),
          {"bridge " + end_id(low) + " " + end_id(high),
           "clear the bridge between " + end_name(scope.frame, low) + " and " + end_name(scope.frame, high)},
          added);
    if (is_altered(scope, wire) && !other)
      list.add(
          FaultKind::one_cavity_off,
          {FaultSubject::at(here), FaultSubject::at(there), FaultSubject::wire(wire->id)},
          text_of(scope, *wire) + " is in " + end_name(scope.frame, there) + " instead of " +
              end_name(scope.frame, here),
          {"move " + end_id(there) + " " + end_id(here),
           "move the terminal from " + end_name(scope.frame, there) + " to " + end_name(scope.frame, here)},
          added);
  }
}

// Two altered wires, or neighbours of one colour of which one is altered.
bool likely_swapped(const FaultScope& scope, const Wire& a, const Wire& b) {
  if (is_altered(scope, &a) && is_altered(scope, &b)) return true;
  const bool one = is_altered(scope, &a) || is_altered(scope, &b);
  return one && a.colour.base == b.colour.base && a.colour != Colour{};
}

// The plug, then of each wire its cavity, the one at the other side of its row, and the wire. Empty where
// that would touch a forbidden circuit.
std::vector<FaultSubject> mirror_subjects(const FaultScope& scope, const Connector& connector,
                                          const Face& face) {
  std::vector<FaultSubject> subjects{FaultSubject::connector(connector.id)};
  std::map<int, int> last;
  for (const FacePlace& place : face.places) last[place.row] = std::max(last[place.row], place.column);
  for (const FacePlace& place : face.places) {
    const WireEnd here{connector.id, place.cavity};
    const Wire* wire = allowed_wire_at(scope.frame, here);
    const FacePlace* across = place_at(face, place.row, last[place.row] + 1 - place.column);
    if (!wire || !across || across->cavity == place.cavity) continue;
    if (is_forbidden(scope.frame, {connector.id, across->cavity})) return {};
    subjects.insert(subjects.end(), {FaultSubject::at(here), FaultSubject::at({connector.id, across->cavity}),
                                     FaultSubject::wire(wire->id)});
  }
  return subjects;
}

void add_plug_faults(FaultList& list, const Connector& connector) {
  const FaultScope& scope = list.scope();
  const Face face = face_of(connector, View::unknown);
  std::vector<std::pair<WireEnd, const Wire*>> held;
  int altered = 0;
  for (const FacePlace& place : face.places) {
    const WireEnd here{connector.id, place.cavity};
    if (const Wire* wire = allowed_wire_at(scope.frame, here)) {
      held.emplace_back(here, wire);
      altered += is_altered(scope, wire) ? 1 : 0;
    }
    add_neighbour_faults(list, connector, place, face);
  }
  for (std::size_t i = 0; i < held.size(); ++i) {
    for (std::size_t j = i + 1; j < held.size(); ++j) {
      if (held[i].second != held[j].second && likely_swapped(scope, *held[i].second, *held[j].second))
        add_swap(list, held[i].first, held[j].first, *held[i].second, *held[j].second);
    }
  }
  if (altered < mirrored_from) return;
  const std::string name = connector.name.empty() ? connector.id : connector.name;
  std::vector<FaultSubject> subjects = mirror_subjects(scope, connector, face);
  if (subjects.size() < 2) return;
  list.add(FaultKind::mirrored_plug, std::move(subjects), "plug " + name + " is wired as its mirror image",
           {"plug " + connector.id, "take plug " + name + " apart and wire it from the other side"}, true);
}

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
      return;
    case DeviceBuild::contacts:
    case DeviceBuild::relay:
      list.add(FaultKind::opposite_contacts, {FaultSubject::device(device.id)},
               name + " is of the opposite kind", replace, added);
      if (kind->build == DeviceBuild::relay)
        list.add(FaultKind::open_device, {FaultSubject::device(device.id)}, name + " has an open coil",
                 replace, added);
      return;
    case DeviceBuild::diode:
    case DeviceBuild::led:
      list.add(FaultKind::reversed_diode, {FaultSubject::device(device.id)}, name + " is the wrong way round",
               {"turn " + device.id, "turn " + name + " round"}, added);
      add_device_swaps(list, device);
      return;
    case DeviceBuild::potentiometer:
    case DeviceBuild::sensor:
      add_device_swaps(list, device);
      [[fallthrough]];
    case DeviceBuild::coil:
    case DeviceBuild::resistor:
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

bool is_switched(PinClass pin_class) {
  return pin_class == PinClass::switch_to_earth_input || pin_class == PinClass::digital_sensor_input ||
         pin_class == PinClass::thermistor_input;
}

bool is_driver(const Pin& pin) {
  return pin_model(pin.pin_class, PinSide::module, SystemVolts::nominal_12).ratings.kind == PinKind::output;
}

void add_pin_faults(FaultList& list, const Wire& wire, const WireEnd& end) {
  const FaultScope& scope = list.scope();
  const PinAt found = pin_at(scope.frame.graft, end);
  if (!found.pin || is_forbidden(scope.frame, end)) return;
  const bool added = is_altered(scope, &wire);
  const std::string where = end_name(scope.frame, end);
  const Repair inside{"pin " + end_id(end), "find another output or input: nothing works behind " + where};
  if (is_driver(*found.pin))
    list.add(FaultKind::dead_driver, {FaultSubject::at(end)}, "the output " + where + " does not work",
             inside, added);
  if (is_switched(found.pin->pin_class))
    list.add(FaultKind::missing_pull_up, {FaultSubject::at(end)}, "the input " + where + " has no pull-up",
             inside, added);
}

}  // namespace

const char* name_of(FaultKind kind) {
  return kind_names[static_cast<std::size_t>(kind)];
}

const char* name_of(Harm harm) {
  return harm_names[static_cast<std::size_t>(harm)];
}

std::string subject_id(const FaultSubject& subject) {
  return subject.kind == FaultSubject::Kind::end ? end_id(subject.end) : subject.id;
}

std::vector<Fault> faults_of(const LoomFrame& frame, const FaultOptions& options) {
  const FaultScope scope = fault_scope(frame, options.whole_loom);
  FaultList list(scope, options);
  add_wire_faults(list, battery_of(scope));
  add_chafing(list);
  for (const Connector& connector : frame.graft.connectors) add_plug_faults(list, connector);
  for (const Device* device : scope.devices) add_device_faults(list, *device);
  for (const Wire* wire : scope.wires) {
    for (const WireEnd* end : {&wire->from, &wire->to}) add_pin_faults(list, *wire, *end);
  }
  return list.take();
}

std::vector<Fault> faults_of(const Graft& graft, const FaultOptions& options) {
  return faults_of(*frame_of(graft, LoomState::as_planned), options);
}

}  // namespace loomgraft
