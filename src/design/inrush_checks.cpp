// What lamps and motors draw at first: a cold filament ten times and more of its current, a motor that stands several times.
// Judged at the output, the contacts and the fuse through which it flows.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "design/inrush.h"
#include "loom/end_id.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "standards/pin_states.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// A lamp whose watts or amperes are known, or one of which only the kind is.
std::optional<Inrush> cold_lamp(const SizingRun& run, const LoadCase& load_case, const Device& device) {
  const auto ends = consumer_ends(load_case, device);
  const auto path = ends ? feed_path(load_case, ends->plus, Walk::upstream) : std::vector<PathStep>{};
  if (path.empty() || !(ends->volts.si > 0.0)) return std::nullopt;
  double amperes = 0.0;
  for (const std::size_t index : load_case.index->branches.at(device.id))
    amperes = std::max(amperes, std::abs(branch_current(load_case.network, load_case.solution, index).si));
  if (!(amperes > 0.0)) return std::nullopt;
  const auto stated = device_figure(device, "cold_ohm", system_of(run));
  const auto draws = device_figure(device, "current_a", system_of(run));
  const bool known = stated && stated->origin != FigureOrigin::default_value;
  const double cold =
      known ? stated->figure.low() : ends->volts.si / amperes / design_figure("lamp_hot_to_cold");
  const bool guessed =
      !known && !device.resistance && (!draws || draws->origin == FigureOrigin::default_value);
  return Inrush{{ends->volts.si / cold},
                guessed,
                false,
                "cold",
                known ? stated->figure.source
                      : "hot resistance over that of the cold filament: data/design_figures.csv"};
}

std::optional<Inrush> standing_motor(const SizingRun& run, const Device& device) {
  const auto stall = device_figure(device, "stall_a", system_of(run));
  const auto draws = device_figure(device, "current_a", system_of(run));
  const bool stated = stall && stall->origin != FigureOrigin::default_value;
  const bool by_current = !stated && draws && draws->origin != FigureOrigin::default_value;
  if (by_current)
    return Inrush{{draws->figure.high() * design_figure("motor_stall_times")},
                  false,
                  true,
                  "standing",
                  "times its running current: data/design_figures.csv"};
  if (!stall) return std::nullopt;
  return Inrush{{stall->figure.high()}, !stated, false, "standing", stall->figure.source};
}

struct Surge {
  const SizingRun& run;
  const LoadCase& load_case;
  const Device& device;
  Inrush inrush;
  bool lamp = false;
};

Check finished(const Surge& surge, Check check, std::string formula, std::string source) {
  check.condition = text_of(surge.load_case);
  check.assumed = true;
  check.judged = check.judged && (check.passes || !surge.inrush.guessed);
  check.why.formula = std::move(formula);
  check.why.source = std::move(source);
  check.why.inputs.push_back({device_name(surge.device) + " " + surge.inrush.when,
                              print(surge.inrush.current), surge.inrush.source});
  return check;
}

std::optional<Check> driver_check(const Surge& surge, const WireEnd& at) {
  const PinAt found = pin_at(*surge.run.graft, at);
  if (!found.pin) return std::nullopt;
  const PinRatings& ratings = pin_model(found.pin->pin_class, PinSide::module, system_of(surge.run)).ratings;
  if (ratings.kind != PinKind::output) return std::nullopt;
  const auto& own = found.pin->limits.current;
  const std::optional<Amperes> allowed = own ? own : ratings.allowed;
  if (!allowed) return std::nullopt;
  const double limit = allowed->si * rule(*surge.run.rules, "driver_current_fraction");
  Check check = make_check(CheckKind::driver_inrush, pin_subject(at),
                           "what " + device_name(surge.device) + " draws " + surge.inrush.when +
                               ", against what the output carries",
                           {surge.inrush.current.si, limit, "A", true});
  // A bridge is made for motors and limits what one draws as it stands; how much only its own data tell.
  if (found.pin->pin_class == PinClass::push_pull && !own) check.judged = check.passes;
  return finished(surge, std::move(check), "inrush <= what the pin carries, as no peak of it is known",
                  own ? "the pin's own limit" : "data/pin_limits.csv: default of a " + ratings.text);
}

// Those of a motor have a rule of their own: motor_contacts.
std::optional<Check> contacts_check(const Surge& surge, const NetworkBranch& branch) {
  if (!surge.lamp || !branch.rating) return std::nullopt;
  const double limit = branch.rating->si * design_figure("contact_inrush_times");
  const Device* contacts = find_device(*surge.run.graft, branch.subject);
  const auto rating = contacts ? device_figure(*contacts, "rating_a", system_of(surge.run)) : std::nullopt;
  Check check =
      make_check(CheckKind::contact_inrush, device_subject(branch.subject),
                 "what " + device_name(surge.device) + " draws cold, against what the contacts make",
                 {surge.inrush.current.si, limit, "A", true});
  check.judged = check.passes || (rating && rating->origin != FigureOrigin::default_value);
  return finished(surge, std::move(check),
                  "inrush <= rating of the contacts * what they make over what they carry",
                  "data/design_figures.csv");
}

std::optional<Check> fuse_check(const Surge& surge, const Device& fuse) {
  if (!surge.lamp) return std::nullopt;
  const FusePart part = fuse_part(surge.run, fuse);
  const Seconds opens = shortest_opening(*part.family, part.rating, surge.inrush.current);
  Check check = make_check(CheckKind::fuse_inrush, device_subject(fuse.id),
                           "time the fuse withstands while " + device_name(surge.device) + " is cold",
                           {std::min(opens.si, 1e6), design_figure("lamp_inrush_s"), "s", false});
  // The shortest times of every family are from memory: no ground for a failure either.
  check.judged = check.passes;
  return finished(surge, std::move(check),
                  "shortest opening time at the inrush >= time that the inrush lasts",
                  "data/fuse_gates.csv, from memory; data/design_figures.csv");
}

std::vector<WireEnd> pins_of(const SizingRun& run) {
  std::vector<WireEnd> ends;
  for (const Wire& wire : run.planned) {
    for (const WireEnd& end : {wire.from, wire.to}) {
      if (pin_at(*run.graft, end).pin) ends.push_back(end);
    }
  }
  return ends;
}

std::vector<PathStep> whole_path(const LoadCase& load_case, const Device& device) {
  const auto ends = consumer_ends(load_case, device);
  if (!ends) return {};
  std::vector<PathStep> path = feed_path(load_case, ends->plus, Walk::upstream);
  const std::vector<PathStep> back = feed_path(load_case, ends->minus, Walk::downstream);
  path.insert(path.end(), back.begin(), back.end());
  return path;
}

}  // namespace

std::optional<Inrush> inrush_of(const SizingRun& run, const LoadCase& load_case, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || !load_case.solved) return std::nullopt;
  if (kind->build == DeviceBuild::lamp) return cold_lamp(run, load_case, device);
  if (kind->build == DeviceBuild::motor) return standing_motor(run, device);
  return std::nullopt;
}

std::vector<Check> inrush_checks(const SizingRun& run, const Device& device) {
  std::vector<Check> checks;
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  const auto inrush = inrush_of(run, load_case, device);
  if (!inrush) return checks;
  const bool lamp = device_kind(device.kind)->build == DeviceBuild::lamp;
  const Surge surge{run, load_case, device, *inrush, lamp};
  const std::vector<WireEnd> pins = pins_of(run);
  std::set<std::string> seen;
  bool fused = false;
  const auto add = [&](std::optional<Check> check) {
    if (check) checks.push_back(std::move(*check));
  };
  for (const PathStep& step : whole_path(load_case, device)) {
    const NetworkBranch& branch = load_case.network.branches[step.branch];
    if (!seen.insert(branch.subject).second) continue;
    if (branch.kind == BranchKind::contacts) add(contacts_check(surge, branch));
    if (branch.kind == BranchKind::contact) {
      const auto pin =
          std::ranges::find_if(pins, [&](const WireEnd& end) { return end_id(end) == branch.subject; });
      if (pin != pins.end()) add(driver_check(surge, *pin));
    }
    const Device* fuse = branch.kind == BranchKind::fuse ? find_device(*run.graft, branch.subject) : nullptr;
    if (!fuse || fused) continue;
    fused = true;
    add(fuse_check(surge, *fuse));
  }
  return checks;
}

}  // namespace loomgraft::design
