// What the vehicle's supply does to a part that is made for another, or that a load dump, a jump start or a reversed battery
// meets. Only what somebody stated of a part is judged; what nobody stated is listed once for each part (missing.cpp).
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "loom/end_id.h"
#include "network/device_figures.h"
#include "network/frame.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "standards/supply.h"
#include "standards/supply_events.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

double nominal(SystemVolts system) {
  return system == SystemVolts::nominal_24 ? 24.0 : 12.0;
}

std::string times_text(double times) {
  return std::to_string(times).substr(0, 4) + " times";
}

// The lowest and the highest supply of a part: that of its system, in proportion where it is made for 6 V or 32 V.
struct MadeFor {
  Volts rated;
  Volts lowest;
  Volts highest;
  std::string source;
};

MadeFor made_for(Volts rated) {
  const SystemVolts system = system_of(rated);
  const double share = rated.si / nominal(system);
  const SupplyEvent& range = supply_event("supply_range", "highest", system);
  return {rated,
          {network_figure("working_v", system).low() * share},
          {range.volts.high() * share},
          range.standard + " (" + range.volts.source + ")"};
}

// Power goes with the square of the volts.
WhyInput heat_input(Volts meets, const MadeFor& part) {
  const double running =
      supply_volts(system_of(part.rated)).si * part.rated.si / nominal(system_of(part.rated));
  const double ratio = meets.si / running;
  return {"heat of a part of fixed resistance", times_text(ratio * ratio) + " what it is made for",
          "square of " + print(meets) + " over " + print(Volts{running})};
}

std::optional<WhyInput> coil_input(const Device& device, Volts meets, const MadeFor& part) {
  const auto rise = device_figure(device, "self_heat_c", system_of(part.rated));
  if (!rise || rise->figure.unit != "K") return std::nullopt;
  const double running =
      supply_volts(system_of(part.rated)).si * part.rated.si / nominal(system_of(part.rated));
  const double hot = rise->figure.middle() * (meets.si / running) * (meets.si / running);
  return WhyInput{"own heating while it stays on", std::to_string(std::lround(hot)) + " K",
                  std::to_string(std::lround(rise->figure.middle())) + " K at the volts it is made for, " +
                      rise->figure.source};
}

Check rated_check(DesignSubject subject, const std::string& name, Volts meets, const MadeFor& part) {
  const bool too_much = meets.si > part.lowest.si;
  Check check = too_much ? make_check(CheckKind::rated_volts, std::move(subject),
                                      "volts across " + name + ", made for " + print(part.rated),
                                      {meets.si, part.highest.si, "V", true})
                         : make_check(CheckKind::rated_volts, std::move(subject),
                                      "volts across " + name + ", made for " + print(part.rated),
                                      {meets.si, part.lowest.si, "V", false});
  check.why = {too_much ? "highest volts across it <= highest supply of parts made for such a vehicle"
                        : "highest volts across it >= lowest supply of parts made for such a vehicle",
               too_much ? part.source : "data/network_figures.csv: working_v",
               {heat_input(meets, part)}};
  return check;
}

// A part of contacts or a fuse only has a highest.
bool is_through_part(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return !kind || kind->build == DeviceBuild::contacts || is_shared(kind->build) ||
         kind->build == DeviceBuild::diode;
}

std::optional<Check> device_rated_check(const SizingRun& run, const Device& device,
                                        const SupplyShare& share) {
  const auto rated = device_figure(device, "rated_v", system_of(run));
  if (!rated) return std::nullopt;
  const MadeFor part = made_for({rated->figure.middle()});
  const bool other_system = system_of(part.rated) != system_of(run);
  // On its own system only too much counts: what loses volts on the way has checks of its own.
  const Volts least = other_system && !is_through_part(device) ? part.lowest : Volts{};
  Check check = rated_check(device_subject(device.id), device_name(device), share.highest,
                            {part.rated, least, part.highest, part.source});
  check.condition = share.condition;
  if (auto heating = coil_input(device, share.highest, part)) check.why.inputs.push_back(*heating);
  check.why.inputs.push_back({"made for", print(part.rated), rated->figure.source});
  return check;
}

// Whether an alternator of the document clamps its own peak: nothing where nobody says.
std::optional<bool> is_clamped(const SizingRun& run) {
  std::optional<bool> clamped;
  for (const Device& device : run.graft->devices) {
    if (device.kind != "alternator" || run.frame->forbidden.has_device(device.id)) continue;
    if (device.suppression == "diode") clamped = clamped.value_or(true);
    if (device.suppression == "none") clamped = false;
  }
  return clamped;
}

struct Withstands {
  DesignSubject subject;
  std::string name;
  Volts volts;
  std::string source;
  double share = 1.0;  // of the supply that reaches it
};

Check event_check(CheckKind kind, const Withstands& part, const SupplyEvent& event, Volts volts,
                  std::string condition) {
  Check check = make_check(kind, part.subject, "what " + part.name + " meets, against what it withstands",
                           {volts.si * part.share, part.volts.si, "V", true});
  check.condition = std::move(condition);
  check.assumed = event.volts.status != "looked up";
  check.why = {"volts of the event <= volts that the part withstands",
               (event.standard.empty() ? "" : event.standard + ": ") + event.volts.source,
               {{"withstands", print(part.volts), part.source}}};
  if (event.lowest_resistance)
    check.why.inputs.push_back({"resistance of the source",
                                print(*event.lowest_resistance) + " to " + print(*event.highest_resistance),
                                "data/supply_events.csv"});
  return check;
}

Check load_dump_check(const SizingRun& run, const Withstands& part) {
  const SystemVolts system = system_of(run);
  const SupplyEvent& clamped = supply_event("load_dump_clamped", "clamped", system);
  const SupplyEvent& open = supply_event("load_dump", "peak", system);
  const std::optional<bool> known = is_clamped(run);
  if (known.value_or(false))
    return event_check(CheckKind::load_dump, part, clamped, {clamped.volts.high()},
                       "battery lead off, alternator clamps its peak");
  Check check = event_check(CheckKind::load_dump, part, open, {open.volts.high()},
                            known ? "battery lead off, alternator without a clamp"
                                  : "battery lead off, nobody stated whether the alternator clamps its peak");
  if (known) return check;
  check.assumed = true;
  check.judged = check.passes || clamped.volts.high() * part.share > part.volts.si;
  check.why.inputs.push_back({"clamped", print(Volts{clamped.volts.high()}), clamped.volts.source});
  return check;
}

// On 24 V no standard asks for one: what does not withstand the tests of some makers is not judged.
Check jump_start_check(const SizingRun& run, const Withstands& part) {
  const SupplyEvent& event = supply_event("jump_start", "supply", system_of(run));
  Check check = event_check(CheckKind::jump_start, part, event, {event.volts.high()},
                            "started from a stronger battery, " + event.duration);
  check.judged = check.passes || system_of(run) == SystemVolts::nominal_12;
  if (system_of(run) == SystemVolts::nominal_12)
    check.why.inputs.push_back(
        {"a lorry's battery", print(Volts{nominal(SystemVolts::nominal_24)}), "nominal"});
  return check;
}

void add_events(const SizingRun& run, const Withstands& part, std::vector<Check>& checks) {
  checks.push_back(load_dump_check(run, part));
  checks.push_back(jump_start_check(run, part));
}

bool is_feed(PinClass pin_class) {
  return pin_class == PinClass::supply_30 || pin_class == PinClass::supply_15;
}

// The first fuse on the way of the current through a branch.
const Device* fuse_ahead(const SizingRun& reversed, const LoadCase& load_case, const NetworkBranch& branch) {
  for (const auto& [node, walk] :
       {std::pair{branch.b, Walk::downstream}, std::pair{branch.a, Walk::upstream}}) {
    for (const PathStep& step : feed_path(load_case, node, walk)) {
      const NetworkBranch& on_way = load_case.network.branches[step.branch];
      if (on_way.kind == BranchKind::fuse) return find_device(*reversed.graft, on_way.subject);
    }
  }
  return nullptr;
}

Check opened_by(const SizingRun& run, const Device& device, const Device& fuse, Amperes current) {
  const FusePart part = fuse_part(run, fuse);
  const Amperes needed = carried_for_good(*part.family, part.rating);
  Check check = make_check(CheckKind::reversed_battery, device_subject(device.id),
                           "the diode of " + device_name(device) +
                               " is a short: current, against what opens fuse " + device_name(fuse),
                           {current.si, needed.si, "A", false});
  // What limits it are outputs and contacts whose resistance nobody measured.
  check.judged = check.passes;
  check.why = {
      "current through the diode >= current above which its fuse opens; the diode may fail before it",
      "data/fuse_gates.csv: " + part.family->name,
      {{"fuse", print(part.rating), part.family_assumed ? "family assumed" : "as stated"}}};
  return check;
}

Check diode_alone(const SizingRun& run, const Device& device, Amperes current) {
  const auto rating = device_figure(device, "rating_a", system_of(run));
  const bool own = rating && device_kind(device.kind)->build == DeviceBuild::diode;
  const DeviceKind& diode = *device_kind("diode");
  const double carries = own ? rating->figure.high() : diode.figures.at("rating_a").high();
  Check check =
      make_check(CheckKind::reversed_battery, device_subject(device.id),
                 "current through the diode of " + device_name(device) + ", with no fuse ahead of it",
                 {current.si, carries, "A", true});
  check.judged = check.passes || (own && rating->origin != FigureOrigin::default_value);
  check.why = {"current through the diode <= what it carries", diode.figures.at("rating_a").source, {}};
  return check;
}

std::optional<Check> reversed_check(const SizingRun& reversed, const Device& device) {
  const LoadCase& load_case = reversed.load_cases.front();
  const auto branch = branch_of(load_case, device.id, BranchKind::diode);
  if (!branch) return std::nullopt;
  const NetworkBranch& item = load_case.network.branches[*branch];
  const Amperes current = branch_current(load_case.network, load_case.solution, *branch);
  if (current.si < design_figure("judged_current_a")) return std::nullopt;
  const Device* fuse = fuse_ahead(reversed, load_case, item);
  const auto share = supply_event("reversed", "supply", system_of(reversed), "2");
  Check check = fuse ? opened_by(reversed, device, *fuse, current) : diode_alone(reversed, device, current);
  check.condition = text_of(load_case);
  check.assumed = true;
  check.why.inputs.push_back({"battery", print(Volts{share.volts.middle()}), share.volts.source});
  check.why.inputs.push_back({"current", print(current), "solved network"});
  return check;
}

bool has_diode(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return device.suppression == "diode" || (kind && kind->build == DeviceBuild::diode);
}

}  // namespace

SupplyShare supply_share(const SizingRun& run, const Device& device) {
  const Volts supply = supply_volts(system_of(run));
  SupplyShare share{{}, "", false};
  for (const LoadCase& load_case : run.load_cases) {
    const auto ends = consumer_ends(load_case, device);
    if (ends && ends->volts > share.highest) share = {ends->volts, text_of(load_case), false};
  }
  // What is off in every condition, or not between two terminals, is taken to meet all of it.
  if (share.highest.si < design_figure("consumer_off") * supply.si || is_through_part(device))
    share = {supply, "highest charging volts of the vehicle", true};
  share.on_supply = share.highest.si > 0.5 * supply.si;
  return share;
}

std::vector<Check> supply_checks(const SizingRun& run, const Device& device) {
  std::vector<Check> checks;
  const SupplyShare share = supply_share(run, device);
  if (auto check = device_rated_check(run, device, share)) checks.push_back(std::move(*check));
  const auto stated = device_figure(device, "withstands_v", system_of(run));
  if (stated && share.on_supply)
    add_events(run,
               {device_subject(device.id),
                device_name(device),
                {stated->figure.low()},
                stated->figure.source,
                std::min(1.0, share.highest / supply_volts(system_of(run)))},
               checks);
  return checks;
}

std::vector<Check> module_supply_checks(const SizingRun& run, const Module& module) {
  std::vector<Check> checks;
  const std::string& name = module.name.empty() ? module.id : module.name;
  if (module.rated) {
    const MadeFor part = made_for(*module.rated);
    Check check = rated_check(device_subject(module.id), name, supply_volts(system_of(run)), part);
    check.condition = "highest charging volts of the vehicle";
    checks.push_back(std::move(check));
  }
  for (const Pin& pin : module.pins) {
    if (!is_feed(pin.pin_class) || !pin.limits.voltage || run.frame->forbidden.has(pin.at)) continue;
    add_events(run,
               {pin_subject({pin.at.connector, pin.at.cavity}), name + " " + pin.at.cavity,
                *pin.limits.voltage, "the pin's own limit"},
               checks);
  }
  return checks;
}

std::map<std::string, std::vector<Check>> reversed_checks(const SizingRun& run) {
  std::map<std::string, std::vector<const Device*>> with_diode;
  for (const AlteredCircuit& circuit : run.loom->circuits) {
    for (const std::string& id : circuit.devices) {
      const Device* device = find_device(*run.graft, id);
      if (device && has_diode(*device)) with_diode[circuit.id].push_back(device);
    }
  }
  std::map<std::string, std::vector<Check>> checks;
  if (with_diode.empty()) return checks;
  const SizingRun reversed =
      reversed_run(run, {-supply_event("reversed", "supply", system_of(run), "2").volts.middle()});
  if (!reversed.load_cases.front().solved) return checks;
  for (const auto& [circuit, devices] : with_diode) {
    for (const Device* device : devices) {
      if (auto check = reversed_check(reversed, *device)) checks[circuit].push_back(std::move(*check));
    }
  }
  return checks;
}

}  // namespace loomgraft::design
