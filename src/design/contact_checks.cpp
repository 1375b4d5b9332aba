// Contacts of switches and relays: the current that keeps them clean, the volts lost in them.
#include <cmath>

#include "design/checks_internal.h"
#include "design/figures.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// The branch of a device's contacts that carries most; open ones carry nothing.
struct Carrying {
  std::size_t branch = 0;
  Amperes current;
};

std::optional<Carrying> carrying(const LoadCase& load_case, const std::string& device) {
  const auto found = load_case.index->branches.find(device);
  if (!load_case.solved || found == load_case.index->branches.end()) return std::nullopt;
  std::optional<Carrying> most;
  for (const std::size_t branch : found->second) {
    if (load_case.network.branches[branch].kind != BranchKind::contacts) continue;
    const Amperes current{std::abs(branch_current(load_case.network, load_case.solution, branch).si)};
    if (!most || current > most->current) most = {branch, current};
  }
  return most;
}

// Judged where the input supplies the most current: the range of a class is wide, and what fails there fails for
// certain.
std::optional<Check> wetting_check(const SizingRun& run, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  const auto most = carrying(load_case, device.id);
  if (!kind || kind->build != DeviceBuild::contacts || !most) return std::nullopt;
  const auto own = device_figure(device, "wetting_a", system_of(run));
  const double needed = own ? own->figure.middle() : rule(*run.rules, "wetting_current_a");
  Check check =
      make_check(CheckKind::wetting, device_subject(device.id), "current that keeps the contacts clean",
                 {most->current.si * 1e3, needed * 1e3, "mA", false});
  check.condition = text_of(load_case);
  check.assumed = true;
  check.why = {"current through the closed contacts >= wetting current",
               own ? own->figure.source : rule_source(*run.rules, "wetting_current_a"),
               {{"current", print(most->current), "solved network"}}};
  return check;
}

std::optional<Check> contact_drop_check(const SizingRun& run, const Device& device) {
  std::optional<Check> worst;
  for (const LoadCase& load_case : run.load_cases) {
    const auto most = carrying(load_case, device.id);
    if (!most || most->current.si < design_figure("judged_current_a")) continue;
    const NetworkBranch& item = load_case.network.branches[most->branch];
    const double drop = std::abs(volts_at(load_case, item.a).si - volts_at(load_case, item.b).si);
    Check check =
        make_check(CheckKind::contact_drop, device_subject(device.id), "volts lost in the closed contacts",
                   {drop, rule(*run.rules, "drop_switch_v"), "V", true});
    check.condition = text_of(load_case);
    check.assumed = true;
    const auto ohms = device_figure(device, "contact_ohm", system_of(run));
    check.judged = check.passes || (ohms && ohms->origin != FigureOrigin::default_value);
    check.why = {"U = I R of the contacts",
                 rule_source(*run.rules, "drop_switch_v"),
                 {{"current", print(most->current), "solved network"}}};
    keep_worst(worst, std::move(check));
  }
  return worst;
}

// What the contacts carry, against what they are rated for.
std::optional<Check> contact_current_check(const SizingRun& run, const Device& device) {
  const auto rating = device_figure(device, "rating_a", system_of(run));
  std::optional<Check> worst;
  for (const LoadCase& load_case : run.load_cases) {
    const auto most = carrying(load_case, device.id);
    if (!rating || !most || most->current.si < design_figure("judged_current_a")) continue;
    Check check = make_check(CheckKind::contact_current, device_subject(device.id),
                             "current through the closed contacts",
                             {most->current.si, rating->figure.low(), "A", true});
    check.condition = text_of(load_case);
    check.assumed = rating->origin == FigureOrigin::default_value;
    check.judged = check.passes || !check.assumed;
    check.why = {"current <= rating of the contacts",
                 check.assumed ? rating->figure.source + ": default of its kind" : rating->figure.source,
                 {{"current", print(most->current), "solved network"}}};
    keep_worst(worst, std::move(check));
  }
  return worst;
}

}  // namespace

std::vector<Check> contact_checks(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<Check> checks;
  for (const std::string& id : circuit.devices) {
    const Device* device = find_device(*run.graft, id);
    if (!device) continue;
    if (auto check = wetting_check(run, *device)) checks.push_back(std::move(*check));
    if (auto check = contact_drop_check(run, *device)) checks.push_back(std::move(*check));
    if (auto check = contact_current_check(run, *device)) checks.push_back(std::move(*check));
  }
  return checks;
}

}  // namespace loomgraft::design
