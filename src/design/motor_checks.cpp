// What a motor asks beyond its running current: it draws several times as much until it turns.
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct Motor {
  const Trial& trial;
  const TrialRun& run;
  const Device& device;
  Amperes running;
  bool assumed = false;
  std::string source;
};

std::string device_words(const Device& device) {
  return device.name.empty() ? device.id : device.name;
}

void finish(const Motor& motor, Check& check, const std::string& formula, const char* rule_name) {
  check.condition = words_of(motor.run);
  check.assumed = check.assumed || motor.assumed;
  check.why.formula = formula;
  check.why.source = rule_source(*motor.trial.rules, rule_name);
  check.why.inputs.push_back({"running current", print(motor.running), motor.source});
}

std::optional<Check> contacts_check(const Motor& motor, const NetworkBranch& contacts) {
  if (!contacts.rating) return std::nullopt;
  const double factor = rule(*motor.trial.rules, "motor_factor");
  Check check = make_check(CheckKind::motor_contacts, contacts.subject,
                           "what the contacts carry, against the start of " + device_words(motor.device),
                           {contacts.rating->si, factor * motor.running.si, "A", false});
  finish(motor, check, "rating of the contacts >= factor * running current", "motor_factor");
  return check;
}

std::optional<Check> wire_check(const Motor& motor, const std::string& id) {
  const auto size = motor.trial.sizes.find(id);
  const Wire* wire = planned_wire(motor.trial, id);
  if (size == motor.trial.sizes.end() || !wire) return std::nullopt;
  const Insulation& insulation = *insulation_of(*wire).insulation;
  const HottestAir air = hottest_air(*motor.trial.graft, *wire);
  if (air.air >= insulation.highest) return std::nullopt;
  const Amperes carries =
      settled_current(thermal_wire(size->second, insulation), insulation.highest, {air.air});
  const double factor = rule(*motor.trial.rules, "motor_factor");
  Check check =
      make_check(CheckKind::motor_wire, id,
                 "what the wire carries for good, against the start of " + device_words(motor.device),
                 {carries.si, factor * motor.running.si, "A", false});
  check.assumed = air.assumed || insulation_of(*wire).assumed;
  finish(motor, check,
         "current at which the conductor settles at its class temperature >= factor * running current",
         "motor_factor");
  return check;
}

std::optional<Check> start_check(const Motor& motor, const Device& fuse) {
  const auto stall = device_figure(motor.device, "stall_a", system_of(motor.trial));
  if (!stall) return std::nullopt;
  const FuseFamily* named = fuse_family(fuse.model);
  const FuseFamily& family = named ? *named : *fuse_family("");
  const Amperes rating = fuse.rating.value_or(fuse_design(motor.trial, fuse).smallest);
  const Amperes standing{stall->figure.high()};
  const Seconds opens_after = shortest_opening(family, rating, standing);
  Check check = make_check(CheckKind::motor_start, fuse.id,
                           "time the fuse holds while " + device_words(motor.device) + " starts",
                           {std::min(opens_after.si, 1e6), rule(*motor.trial.rules, "motor_start_s"), "s", false});
  finish(motor, check, "shortest opening time of the fuse at the standing motor's current >= time of a start",
         "motor_start_s");
  check.why.inputs.push_back({"standing still", print(standing), stall->figure.source});
  check.why.inputs.push_back(
      {"fuse", print(rating), fuse.rating ? "stated" : "the smallest that carries it"});
  return check;
}

std::optional<Check> alone_check(const Motor& motor, const Device& fuse, Amperes own) {
  const auto branch = branch_of(motor.run, fuse.id, BranchKind::fuse);
  if (!branch) return std::nullopt;
  const double all = std::abs(branch_current(motor.run.network, motor.run.solution, *branch).si);
  Check check = make_check(
      CheckKind::motor_alone, fuse.id, "load beside " + device_words(motor.device) + " on its fuse",
      {std::max(0.0, all - own.si), own.si * rule(*motor.trial.rules, "motor_fuse_share"), "A", true});
  finish(motor, check, "current of the fuse - current of the motor <= share of the motor's",
         "motor_fuse_share");
  return check;
}

std::optional<Motor> motor_of(const Trial& trial, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || kind->build != DeviceBuild::motor) return std::nullopt;
  const TrialRun& run = run_of(trial, TrialState::everything_on, Corner::strongest);
  const auto running = device_figure(device, "current_a", system_of(trial));
  if (!run.solved || !running) return std::nullopt;
  return Motor{trial,
               run,
               device,
               {running->figure.middle()},
               running->origin == FigureOrigin::default_value,
               running->figure.source};
}

}  // namespace

std::vector<Check> motor_checks(const Trial& trial, const Device& device) {
  std::vector<Check> checks;
  const auto motor = motor_of(trial, device);
  const auto ends = motor ? consumer_ends(motor->run, device) : std::nullopt;
  if (!ends) return checks;
  const auto add = [&](std::optional<Check> check) {
    if (check) checks.push_back(std::move(*check));
  };
  const auto there = feed_path(motor->run, ends->plus, Walk::upstream);
  const Amperes own = there.empty() ? Amperes{} : there.front().current;
  bool fused = false;
  for (const PathStep& step : there) {
    const NetworkBranch& branch = motor->run.network.branches[step.branch];
    if (branch.kind == BranchKind::contacts) add(contacts_check(*motor, branch));
    if (branch.kind == BranchKind::wire) add(wire_check(*motor, branch.subject));
    const Device* fuse =
        branch.kind == BranchKind::fuse ? find_device(*trial.graft, branch.subject) : nullptr;
    if (!fuse || fused) continue;
    fused = true;
    add(start_check(*motor, *fuse));
    add(alone_check(*motor, *fuse, own));
  }
  for (const PathStep& step : feed_path(motor->run, ends->minus, Walk::downstream)) {
    const NetworkBranch& branch = motor->run.network.branches[step.branch];
    if (branch.kind == BranchKind::wire) add(wire_check(*motor, branch.subject));
  }
  return checks;
}

}  // namespace loomgraft::design
