// What a motor requires beyond its running current: it draws several times as much until it turns, so contacts and
// wires must carry a multiple of it, and the fuse must withstand the start.
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/inrush.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct Motor {
  const SizingRun& run;
  const LoadCase& load_case;
  const Device& device;
  Amperes running;
  bool assumed = false;
  std::string source;
};

void finish(const Motor& motor, Check& check, const std::string& formula, const char* rule_name) {
  check.condition = text_of(motor.load_case);
  check.assumed = check.assumed || motor.assumed;
  check.why.formula = formula;
  check.why.source = rule_source(*motor.run.rules, rule_name);
  check.why.inputs.push_back({"running current", print(motor.running), motor.source});
}

std::optional<Check> contacts_check(const Motor& motor, const NetworkBranch& contacts) {
  if (!contacts.rating) return std::nullopt;
  const double factor = rule(*motor.run.rules, "motor_factor");
  Check check = make_check(CheckKind::motor_contacts, device_subject(contacts.subject),
                           "rating of the contacts, against the start of " + device_name(motor.device),
                           {contacts.rating->si, factor * motor.running.si, "A", false});
  finish(motor, check, "rating of the contacts >= factor * running current", "motor_factor");
  return check;
}

std::optional<Check> wire_check(const Motor& motor, const std::string& id) {
  const auto size = motor.run.sizes.find(id);
  const Wire* wire = planned_wire(motor.run, id);
  if (size == motor.run.sizes.end() || !wire) return std::nullopt;
  const Insulation& insulation = *insulation_of(*wire).insulation;
  const HottestAir air = hottest_air(*motor.run.graft, *wire);
  if (air.air >= insulation.highest) return std::nullopt;
  const Amperes carries =
      steady_current(thermal_wire(size->second, insulation), insulation.highest, {air.air});
  const double factor = rule(*motor.run.rules, "motor_factor");
  Check check =
      make_check(CheckKind::motor_wire, wire_subject(id),
                 "what the wire carries permanently, against the start of " + device_name(motor.device),
                 {carries.si, factor * motor.running.si, "A", false});
  check.assumed = air.assumed || insulation_of(*wire).assumed;
  finish(motor, check,
         "current at which the conductor's steady temperature is its class temperature >= factor * running "
         "current",
         "motor_factor");
  return check;
}

std::optional<Check> start_check(const Motor& motor, const Device& fuse) {
  const auto stall = inrush_of(motor.run, motor.load_case, motor.device);
  if (!stall) return std::nullopt;
  const FusePart part = fuse_part(motor.run, fuse);
  const FuseFamily& family = *part.family;
  const Amperes rating = part.rating;
  const Amperes stalled = stall->current;
  const Seconds opens_after = shortest_opening(family, rating, stalled);
  Check check =
      make_check(CheckKind::motor_start, device_subject(fuse.id),
                 "time the fuse withstands while " + device_name(motor.device) + " starts",
                 {std::min(opens_after.si, 1e6), rule(*motor.run.rules, "motor_start_s"), "s", false});
  finish(motor, check, "shortest opening time of the fuse at the stalled motor's current >= time of a start",
         "motor_start_s");
  check.judged = check.passes || (!stall->guessed && !stall->multiple);
  check.why.inputs.push_back({"stalled", print(stalled), stall->source});
  check.why.inputs.push_back(
      {"fuse", print(rating), fuse.rating ? "stated" : "the smallest that carries it"});
  return check;
}

std::optional<Check> alone_check(const Motor& motor, const Device& fuse, Amperes own) {
  const auto branch = branch_of(motor.load_case, fuse.id, BranchKind::fuse);
  constexpr double running = 1e-3;  // below this the motor stands still in this condition
  if (!branch || own.si < running) return std::nullopt;
  const double all = std::abs(branch_current(motor.load_case.network, motor.load_case.solution, *branch).si);
  Check check = make_check(
      CheckKind::motor_alone, device_subject(fuse.id),
      "load beside " + device_name(motor.device) + " on its fuse",
      {std::max(0.0, all - own.si), own.si * rule(*motor.run.rules, "motor_fuse_share"), "A", true});
  finish(motor, check, "current of the fuse - current of the motor <= share of the motor's",
         "motor_fuse_share");
  return check;
}

std::optional<Motor> motor_of(const SizingRun& run, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || kind->build != DeviceBuild::motor) return std::nullopt;
  const LoadCase& load_case = load_case_of(run, LoadCaseKind::everything_on, Corner::strongest);
  const auto running = device_figure(device, "current_a", system_of(run));
  if (!load_case.solved || !running) return std::nullopt;
  return Motor{run,
               load_case,
               device,
               {running->figure.middle()},
               running->origin == FigureOrigin::default_value,
               running->figure.source};
}

}  // namespace

std::vector<Check> motor_checks(const SizingRun& run, const Device& device) {
  std::vector<Check> checks;
  const auto motor = motor_of(run, device);
  const auto ends = motor ? consumer_ends(motor->load_case, device) : std::nullopt;
  if (!ends) return checks;
  const auto add = [&](std::optional<Check> check) {
    if (check) checks.push_back(std::move(*check));
  };
  const auto there = feed_path(motor->load_case, ends->plus, Walk::upstream);
  const Amperes own = there.empty() ? Amperes{} : there.front().current;
  bool fused = false;
  for (const PathStep& step : there) {
    const NetworkBranch& branch = motor->load_case.network.branches[step.branch];
    if (branch.kind == BranchKind::contacts) add(contacts_check(*motor, branch));
    if (branch.kind == BranchKind::wire) add(wire_check(*motor, branch.subject));
    const Device* fuse = branch.kind == BranchKind::fuse ? find_device(*run.graft, branch.subject) : nullptr;
    if (!fuse || fused) continue;
    fused = true;
    add(start_check(*motor, *fuse));
    add(alone_check(*motor, *fuse, own));
  }
  for (const PathStep& step : feed_path(motor->load_case, ends->minus, Walk::downstream)) {
    const NetworkBranch& branch = motor->load_case.network.branches[step.branch];
    if (branch.kind == BranchKind::wire) add(wire_check(*motor, branch.subject));
  }
  return checks;
}

}  // namespace loomgraft::design
