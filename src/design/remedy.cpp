#include "design/remedy.h"

#include <algorithm>

#include "design/altered.h"
#include "design/checks_internal.h"
#include "design/figures.h"
#include "design/rule_book.h"
#include "loom/part_text.h"
#include "loom/plan.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "standards/relay_choice.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// ---- editing the copy
void add_wire(Graft& graft, const std::string& id, const WireEnd& from, const WireEnd& to) {
  Wire wire;
  wire.id = id;
  wire.signal = id;
  std::ranges::replace(wire.signal, '_', ' ');
  wire.from = from;
  wire.to = to;
  wire.length = Metres{design_figure("remedy_lead_m")};
  PlanStep step;
  step.action = PlanAction::add;
  step.added = wire;
  graft.plan.push_back(step);
}

void add_device(Graft& graft, const std::string& id, const std::string& name, const std::string& kind,
                const std::string& place) {
  Device device;
  device.id = id;
  device.name = name;
  device.kind = kind;
  device.place = place;
  graft.devices.push_back(device);
}

// Moves one end of a planned wire.
void retarget(Graft& graft, const std::string& wire, const WireEnd& from, const WireEnd& to) {
  for (PlanStep& step : graft.plan) {
    if (step.action == PlanAction::move && step.wire == wire && step.to == from) {
      step.to = to;
      return;
    }
    if (step.action != PlanAction::add || !step.added || step.added->id != wire) continue;
    if (step.added->from == from) step.added->from = to;
    if (step.added->to == from) step.added->to = to;
    return;
  }
  PlanStep step;
  step.action = PlanAction::move;
  step.wire = wire;
  step.from = from;
  step.to = to;
  graft.plan.push_back(step);
}

// ---- looking around
std::string part_text(const Graft& graft, const std::string& id) {
  const Device* device = find_device(graft, id);
  return device ? device_name(*device) : plug_text(graft, id);
}

struct Meeting {
  Wire wire;
  WireEnd here;
  WireEnd there;
};

std::vector<Meeting> wires_at(const std::vector<Wire>& wires, const std::string& at,
                              const std::string& terminal) {
  std::vector<Meeting> found;
  for (const Wire& wire : wires) {
    const auto meets = [&](const WireEnd& end) {
      return end.at == at && (terminal.empty() || end.cavity == terminal);
    };
    if (meets(wire.from)) found.push_back({wire, wire.from, wire.to});
    if (meets(wire.to)) found.push_back({wire, wire.to, wire.from});
  }
  return found;
}

std::string other_terminal(const Device& device, const std::string& terminal) {
  const DeviceKind* kind = device_kind(device.kind);
  const auto& terminals = device.terminals.empty() && kind ? kind->terminals : device.terminals;
  for (const std::string& name : terminals) {
    if (name != terminal) return name;
  }
  return {};
}

// A remedy before it is judged: the changed copy, and what to look at in its design.
struct Change {
  Remedy remedy;
  Graft graft;
  std::vector<DesignSubject> subjects;
};

// ---- judging the copy
void judge(Change& change, const ForbiddenParts& forbidden) {
  Remedy& remedy = change.remedy;
  const std::vector<DesignSubject>& subjects = change.subjects;
  const DesignReport report = design_of_copy(change.graft, forbidden);
  remedy.passes = true;
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks) {
      if (std::ranges::find(subjects, check.subject) == subjects.end()) continue;
      remedy.after.push_back(check);
      remedy.passes = remedy.passes && (check.passes || !check.judged);
    }
  }
  remedy.passes = remedy.passes && !remedy.after.empty();
}

// ---- a relay
std::optional<WireEnd> battery_plus(const Graft& graft) {
  for (const Device& device : graft.devices) {
    const DeviceKind* kind = device_kind(device.kind);
    if (kind && kind->build == DeviceBuild::battery && !kind->terminals.empty())
      return WireEnd{device.id, device.terminals.empty() ? kind->terminals[0] : device.terminals[0]};
  }
  return std::nullopt;
}

void add_earth(Graft& graft, const std::string& id, const std::string& name, const std::string& place) {
  add_device(graft, id, name, "earth", place);
}

WireEnd earth_end(const std::string& id) {
  const DeviceKind* kind = device_kind("earth");
  return {id, kind && !kind->terminals.empty() ? kind->terminals[0] : "31"};
}

// The coolest of these places: beside the fuse that feeds the load, where the module has its earth, at the load.
std::string relay_place(const Graft& graft, const std::vector<Wire>& planned, const CircuitDesign& circuit,
                        const std::string& connector, const Device& load) {
  std::vector<std::string> places;
  for (const FuseDesign& fuse : circuit.fuses) {
    if (const Device* device = find_device(graft, fuse.device)) places.push_back(device->place);
  }
  for (const Meeting& meeting : wires_at(planned, connector, "")) {
    const Device* device = find_device(graft, meeting.there.at);
    if (device && device->kind == "earth") places.push_back(device->place);
  }
  std::string coolest = load.place;
  std::optional<Celsius> lowest;
  for (const std::string& id : places) {
    const auto place = std::find_if(graft.places.begin(), graft.places.end(),
                                    [&](const LoomPlace& item) { return item.id == id; });
    if (place == graft.places.end() || !place->hottest || place->wet) continue;
    if (lowest && *lowest <= *place->hottest) continue;
    lowest = place->hottest;
    coolest = id;
  }
  return coolest;
}

std::optional<Change> relay_remedy(const Graft& graft, const std::vector<Wire>& planned,
                                   const CircuitDesign& circuit, const Check& failed) {
  const WireEnd& pin = failed.subject.at;
  const auto meetings = wires_at(planned, pin.at, pin.cavity);
  const Device* load = meetings.size() == 1 ? find_device(graft, meetings[0].there.at) : nullptr;
  const Pin* output = pin_at(graft, pin).pin;
  if (!load || !output || load->kind == "relay") return std::nullopt;
  const std::string driven = meetings[0].there.cavity;
  const std::string other = other_terminal(*load, driven);
  const bool high_side = output->pin_class == PinClass::high_side_driver;
  Graft changed = graft;
  const std::string relay = "relay_" + load->id;
  const std::string place = relay_place(graft, planned, circuit, pin.at, *load);
  const std::string relay_name = device_name(*load) + " relay";
  add_device(changed, relay, relay_name, "relay", place);
  const std::size_t relay_index = changed.devices.size() - 1;
  changed.devices.back().model = relay_for(graft.vehicle.supply, {failed.value});
  retarget(changed, meetings[0].wire.id, meetings[0].there, {relay, high_side ? "86" : "85"});
  add_wire(changed, relay + "_coil", {load->id, other}, {relay, high_side ? "85" : "86"});
  add_wire(changed, relay + "_87", {relay, "87"}, {load->id, driven});
  if (high_side) {
    const auto plus = battery_plus(graft);
    if (!plus) return std::nullopt;
    add_device(changed, "fuse_" + relay, relay_name + " fuse", "fuse", place);
    add_wire(changed, relay + "_feed", *plus, {"fuse_" + relay, "1"});
    add_wire(changed, relay + "_30", {"fuse_" + relay, "2"}, {relay, "30"});
  } else {
    add_earth(changed, "earth_" + relay, relay_name + " earth", place);
    add_wire(changed, relay + "_30", {relay, "30"}, earth_end("earth_" + relay));
  }
  Remedy remedy;
  remedy.kind = RemedyKind::relay;
  remedy.subject = failed.subject;
  const std::string& model = changed.devices[relay_index].model;
  remedy.text = "Let the output drive a relay" + (model.empty() ? "" : " (" + model + ")") +
                " and the relay's contacts carry " + device_name(*load) +
                (high_side ? " from a fused feed of its own." : " to an earth of its own.");
  remedy.trade_off =
      "One more part that can fail, and some milliseconds later at switching on and off; unsuitable if the "
      "output is "
      "pulsed, since contacts cannot follow.";
  return Change{std::move(remedy),
                std::move(changed),
                {failed.subject, device_subject(relay), device_subject(load->id)}};
}

// ---- a diode
// How much later a coil turns off with a diode across it.
std::string turn_off_text(const Device& coil, Volts supply) {
  const SystemVolts system = system_of(supply);
  const auto plain = device_figure(coil, "drop_out_s", system);
  const auto with_diode = device_figure(coil, "drop_out_with_diode_s", system);
  if (plain && with_diode)
    return "It turns off after about " + print(Seconds{with_diode->figure.middle()}) + " instead of " +
           print(Seconds{plain->figure.middle()}) + " (" + with_diode->figure.source + ").";
  const auto inductance = device_figure(coil, "inductance_h", system);
  const auto resistance = device_figure(coil, "resistance_ohm", system);
  if (!inductance || !resistance) return "It turns off later.";
  const Seconds constant{inductance->figure.high() / resistance->figure.low()};
  return "Its current decays with a time constant of up to " + print(constant) +
         ": it turns off that much later.";
}

std::optional<Change> diode_remedy(const Graft& graft, const CircuitDesign& circuit, const Check& failed) {
  Graft changed = graft;
  const auto coil = std::find_if(changed.devices.begin(), changed.devices.end(), [&](const Device& device) {
    const DeviceKind* kind = device_kind(device.kind);
    return kind && (kind->build == DeviceBuild::coil || kind->build == DeviceBuild::relay) &&
           std::any_of(circuit.checks.begin(), circuit.checks.end(),
                       [&](const Check& check) { return check.subject == device_subject(device.id); });
  });
  if (coil == changed.devices.end()) return std::nullopt;
  coil->suppression = "diode";
  Remedy remedy;
  remedy.kind = RemedyKind::diode;
  remedy.subject = failed.subject;
  remedy.text =
      "Put a diode across " + device_name(*coil) +
      ", cathode to the feed, so that the coil's energy becomes heat in the coil and not in the output.";
  remedy.trade_off = turn_off_text(*coil, graft.vehicle.supply);
  return Change{std::move(remedy), std::move(changed), {failed.subject, device_subject(coil->id)}};
}

// ---- an earth of its own
bool is_sensor(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind && (kind->build == DeviceBuild::potentiometer || kind->build == DeviceBuild::sensor ||
                  kind->build == DeviceBuild::thermistor || kind->build == DeviceBuild::pair);
}

// Planned wires at the joint that lead to something other than sensors.
std::vector<Meeting> others_at(const Graft& graft, const AlteredLoom& loom, const std::string& joint) {
  std::vector<Meeting> found;
  for (const Meeting& meeting : wires_at(loom.wires, joint, "")) {
    const Device* device = find_device(graft, meeting.there.at);
    const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
    if (kind && kind->build != DeviceBuild::earth && kind->build != DeviceBuild::splice &&
        !is_sensor(*device))
      found.push_back(meeting);
  }
  return found;
}

bool is_joint(const Graft& graft, const std::string& id) {
  const Device* device = find_device(graft, id);
  const DeviceKind* kind = device ? device_kind(device->kind) : nullptr;
  return kind && (kind->build == DeviceBuild::splice || kind->build == DeviceBuild::earth);
}

std::optional<Change> separate_earth_remedy(const Graft& graft, const std::vector<Wire>& planned,
                                            const Check& failed, const ForbiddenParts& forbidden) {
  const AlteredLoom loom = altered_loom(graft, forbidden);
  for (const Meeting& meeting : wires_at(planned, failed.subject.at.at, "")) {
    const auto others = others_at(graft, loom, meeting.there.at);
    if (others.empty() || !is_joint(graft, meeting.there.at)) continue;
    Graft changed = graft;
    const std::string earth = "earth_beside_" + meeting.there.at;
    const Device* joint = find_device(graft, meeting.there.at);
    add_earth(changed, earth, "earth beside " + part_text(graft, meeting.there.at),
              joint ? joint->place : "");
    std::vector<DesignSubject> subjects{failed.subject};
    std::string names;
    for (const Meeting& other : others) {
      retarget(changed, other.wire.id, other.here, earth_end(earth));
      subjects.push_back(device_subject(other.there.at));
      names += (names.empty() ? "" : ", ") + part_text(graft, other.there.at);
    }
    Remedy remedy;
    remedy.kind = RemedyKind::separate_earth;
    remedy.subject = failed.subject;
    remedy.text = "Move the return of " + names + " from " + part_text(graft, meeting.there.at) +
                  " to a body earth of its own.";
    remedy.trade_off = "One more earth point: bare metal, greased, at most two ring terminals per screw.";
    return Change{std::move(remedy), std::move(changed), std::move(subjects)};
  }
  return std::nullopt;
}

// ---- a pull-up
// The largest of the E12 values (IEC 60063) that still lets the wetting current flow.
Ohms pull_up_of(Volts lowest, Amperes wetting) {
  constexpr double steps[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};
  const double most = lowest.si / wetting.si;
  double best = 1.0;
  double decade = 1.0;
  while (decade * 10.0 <= most) decade *= 10.0;
  for (const double step : steps) {
    if (step * decade <= most) best = step * decade;
  }
  return {best};
}

// Where a module's feed comes from: the far end of the wire in such a cavity.
std::optional<WireEnd> feed_of(const PinAt& input, PinClass feed, const Graft& graft,
                               const std::vector<Wire>& planned) {
  for (const Wire& wire : planned) {
    for (const auto& [here, there] : {std::pair{wire.from, wire.to}, std::pair{wire.to, wire.from}}) {
      const PinAt meets = pin_at(graft, here);
      if (meets.module == input.module && meets.pin && meets.pin->pin_class == feed && !there.at.empty())
        return there;
    }
  }
  return std::nullopt;
}

std::optional<Change> pull_up_remedy(const Graft& graft, const std::vector<Wire>& planned,
                                     const Check& failed) {
  const WireEnd& pin = failed.subject.at;
  const PinAt input = pin_at(graft, pin);
  const auto meetings = wires_at(planned, pin.at, pin.cavity);
  if (!input.pin || input.pin->pin_class != PinClass::switch_to_earth_input || meetings.size() != 1)
    return std::nullopt;
  auto feed = feed_of(input, PinClass::supply_15, graft, planned);
  if (!feed) feed = feed_of(input, PinClass::supply_30, graft, planned);
  if (!feed) return std::nullopt;
  const SystemVolts system = system_of(graft.vehicle.supply);
  const Ohms ohms =
      pull_up_of({network_figure("working_v", system).low()}, {rule(rule_book(graft), "wetting_current_a")});
  Graft changed = graft;
  const std::string id = "pull_up_" + pin.cavity;
  add_device(changed, id, "pull-up of " + cavity_text(graft, {pin.at, pin.cavity}), "resistor", "");
  changed.devices.back().resistance = ohms;
  add_wire(changed, id + "_feed", *feed, {id, "1"});
  add_wire(changed, id + "_input", {id, "2"}, meetings[0].there);
  Remedy remedy;
  remedy.kind = RemedyKind::pull_up;
  remedy.subject = failed.subject;
  remedy.text = "Add a resistor of " + print(ohms) + " from what feeds the module to this wire.";
  remedy.trade_off = "One more joint, and a few milliwatts while the switch is closed.";
  return Change{std::move(remedy), std::move(changed), {failed.subject}};
}

std::optional<Change> change_for(const Graft& graft, const std::vector<Wire>& planned,
                                 const CircuitDesign& circuit, const Check& check,
                                 const ForbiddenParts& forbidden) {
  switch (check.kind) {
    case CheckKind::driver_current:
    case CheckKind::driver_inrush:
      return relay_remedy(graft, planned, circuit, check);
    case CheckKind::clamp_energy:
      return diode_remedy(graft, circuit, check);
    case CheckKind::earth_offset:
      return separate_earth_remedy(graft, planned, check, forbidden);
    case CheckKind::level_open:
      return pull_up_remedy(graft, planned, check);
    default:
      return std::nullopt;
  }
}

}  // namespace

std::vector<Remedy> remedies_for(const Graft& graft, const CircuitDesign& circuit,
                                 const ForbiddenParts& forbidden) {
  std::vector<Remedy> remedies;
  if (std::ranges::all_of(circuit.checks, &Check::passes)) return remedies;
  const std::vector<Wire> planned = as_planned(graft).wires;
  for (const Check& check : circuit.checks) {
    if (check.passes) continue;
    auto change = change_for(graft, planned, circuit, check, forbidden);
    const auto same = [&](const Remedy& known) {
      return change && known.kind == change->remedy.kind && known.subject == change->remedy.subject;
    };
    if (!change || std::ranges::any_of(remedies, same)) continue;
    judge(*change, forbidden);
    remedies.push_back(std::move(change->remedy));
  }
  return remedies;
}

}  // namespace loomgraft::design

namespace loomgraft {

using namespace design;

std::optional<Graft> with_remedy(const Graft& graft, std::string_view kind, std::string_view subject) {
  const DesignReport report =
      design_circuits(graft, {.remedies = false, .back_feeds = false, .outcomes = false});
  const std::vector<Wire> planned = as_planned(graft).wires;
  const ForbiddenParts forbidden = forbidden_parts(graft);
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks) {
      if (check.passes || id_of(check.subject) != subject) continue;
      auto change = change_for(graft, planned, circuit, check, forbidden);
      if (change && name_of(change->remedy.kind) == kind) return std::move(change->graft);
    }
  }
  return std::nullopt;
}

}  // namespace loomgraft
