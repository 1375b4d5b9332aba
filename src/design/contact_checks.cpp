// Contacts of switches and relays: the current that keeps them clean, the volts lost in them.
#include <cmath>

#include "design/checks_internal.h"
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

std::optional<Carrying> carrying(const TrialRun& run, const std::string& device) {
  const auto found = run.index->branches.find(device);
  if (!run.solved || found == run.index->branches.end()) return std::nullopt;
  std::optional<Carrying> most;
  for (const std::size_t branch : found->second) {
    if (run.network.branches[branch].kind != BranchKind::contacts) continue;
    const Amperes current{std::abs(branch_current(run.network, run.solution, branch).si)};
    if (!most || current > most->current) most = {branch, current};
  }
  return most;
}

// Judged where the input pulls strongest: a class's range is wide, and what fails even there fails for
// certain.
std::optional<Check> wetting_check(const Trial& trial, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  const TrialRun& run = run_of(trial, TrialState::everything_on, Corner::strongest);
  const auto most = carrying(run, device.id);
  if (!kind || kind->build != DeviceBuild::contacts || !most) return std::nullopt;
  const auto own = device_figure(device, "wetting_a", system_of(trial));
  const double least = own ? own->figure.middle() : rule(*trial.rules, "wetting_current_a");
  Check check = make_check(CheckKind::wetting, device.id, "current that keeps the contacts clean",
                           {most->current.si * 1e3, least * 1e3, "mA", false});
  check.condition = words_of(run);
  check.assumed = true;
  check.why = {"current through the closed contacts >= wetting current",
               own ? own->figure.source : rule_source(*trial.rules, "wetting_current_a"),
               {{"current", print(most->current), "solved network"}}};
  return check;
}

std::optional<Check> contact_drop_check(const Trial& trial, const Device& device) {
  std::optional<Check> worst;
  for (const TrialRun& run : trial.runs) {
    const auto most = carrying(run, device.id);
    if (!most || most->current.si < 1e-3) continue;
    const NetworkBranch& item = run.network.branches[most->branch];
    const double drop = std::abs(volts_at(run, item.a).si - volts_at(run, item.b).si);
    Check check = make_check(CheckKind::contact_drop, device.id, "volts lost in the closed contacts",
                             {drop, rule(*trial.rules, "drop_switch_v"), "V", true});
    check.condition = words_of(run);
    check.assumed = true;
    check.why = {"U = I R of the contacts",
                 rule_source(*trial.rules, "drop_switch_v"),
                 {{"current", print(most->current), "solved network"}}};
    keep_worse(worst, std::move(check));
  }
  return worst;
}

}  // namespace

std::vector<Check> contact_checks(const Trial& trial, const AlteredCircuit& circuit) {
  std::vector<Check> checks;
  for (const std::string& id : circuit.devices) {
    const Device* device = find_device(*trial.graft, id);
    if (!device) continue;
    if (auto check = wetting_check(trial, *device)) checks.push_back(std::move(*check));
    if (auto check = contact_drop_check(trial, *device)) checks.push_back(std::move(*check));
  }
  return checks;
}

}  // namespace loomgraft::design
