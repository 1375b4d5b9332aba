// What a consumer must get: volts on the whole way there and back, and enough to pull in when hot.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "network/device_figures.h"
#include "standards/copper.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// Below this share of the nominal supply a consumer is off, not weak.
constexpr double off_share = 0.2;

std::vector<std::string> consumer_terminals(const Device& device, const DeviceKind& kind) {
  if (kind.build == DeviceBuild::relay) return {"86", "85"};
  return device.terminals.size() >= 2 ? device.terminals : kind.terminals;
}

struct CoilTemperature {
  Celsius hottest;
  const char* from;
};

// The air where it sits and what it adds by staying on; where nobody said where it sits, the usual hottest.
CoilTemperature coil_temperature(const Trial& trial, const Device& device) {
  const auto rise = device_figure(device, "self_heat_c", system_of(trial));
  for (const LoomPlace& place : trial.graft->places) {
    if (place.id != device.place || !place.hottest) continue;
    return {{place.hottest->degrees + (rise ? rise->figure.high() : 0.0)},
            "its place and what it adds by staying on"};
  }
  if (const auto usual = device_figure(device, "hottest_c", system_of(trial)))
    return {{usual->figure.high()}, "usual of its kind; nobody said where it sits"};
  return {{network_figure("ambient_c", system_of(trial)).high()}, "usual; nobody said where it sits"};
}

Check no_supply(const Device& device, const TrialRun& run, Volts volts, Volts nominal) {
  Check check = make_check(CheckKind::path_drop, device.id, "it gets next to no volts: the way is open",
                           {volts.si, off_share * nominal.si, "V", false});
  check.condition = words_of(run);
  check.why = {"volts between its terminals with everything on", "solved network", {}};
  return check;
}

std::string greatest_loss(const TrialRun& run, const std::vector<PathStep>& path) {
  const PathStep* most = nullptr;
  for (const PathStep& step : path) {
    if (run.network.branches[step.branch].kind == BranchKind::supply) continue;
    if (is_conductor(run.network.branches[step.branch].kind) && (!most || step.drop > most->drop))
      most = &step;
  }
  return most ? run.network.branches[most->branch].name + ": " + print(most->drop) : "none";
}

Check path_drop_in(const Trial& trial, const TrialRun& run, const Device& device, const ConsumerEnds& ends) {
  const auto there = feed_path(run, ends.plus, Walk::upstream);
  const auto back = feed_path(run, ends.minus, Walk::downstream);
  const Volts there_drop = conductor_drop(run, there);
  const Volts back_drop = conductor_drop(run, back);
  const double limit = rule(*trial.rules, "drop_path_fraction") * trial.graft->vehicle.supply.si;
  Check check = make_check(CheckKind::path_drop, device.id, "volts lost in conductors, there and back",
                           {there_drop.si + back_drop.si, limit, "V", true});
  check.condition = words_of(run);
  check.why = {"sum over wires, contacts, joints and fuses of I R, on the way that carries most",
               rule_source(*trial.rules, "drop_path_fraction"),
               {{"there", print(there_drop), "solved network"},
                {"back", print(back_drop), "solved network"},
                {"left at the device", print(ends.volts), "solved network"},
                {"most there", greatest_loss(run, there), "solved network"},
                {"most back", greatest_loss(run, back), "solved network"}}};
  return check;
}

}  // namespace

bool is_consumer(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind) return false;
  switch (kind->build) {
    case DeviceBuild::resistor:
    case DeviceBuild::coil:
    case DeviceBuild::motor:
    case DeviceBuild::lamp:
    case DeviceBuild::led:
    case DeviceBuild::relay:
    case DeviceBuild::controller:
      return true;
    default:
      return false;
  }
}

std::optional<ConsumerEnds> consumer_ends(const TrialRun& run, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || !run.solved) return std::nullopt;
  const std::vector<std::string> terminals = consumer_terminals(device, *kind);
  if (terminals.size() < 2) return std::nullopt;
  const auto first = node_at(run.network, {device.id, terminals[0]});
  const auto second = node_at(run.network, {device.id, terminals[1]});
  if (!first || !second) return std::nullopt;
  const double volts = volts_at(run, *first).si - volts_at(run, *second).si;
  return volts >= 0 ? ConsumerEnds{*first, *second, {volts}} : ConsumerEnds{*second, *first, {-volts}};
}

std::optional<Check> path_drop_check(const Trial& trial, const Device& device) {
  if (!is_consumer(device)) return std::nullopt;
  const Volts nominal = trial.graft->vehicle.supply;
  std::optional<Check> worst;
  for (const TrialRun& run : trial.runs) {
    const bool judged = run.state == TrialState::everything_on || run.state == TrialState::named;
    if (run.corner != Corner::weakest || !judged) continue;
    const auto ends = consumer_ends(run, device);
    if (!ends) continue;
    const bool off = ends->volts.si < off_share * nominal.si;
    if (off && run.state == TrialState::named) continue;
    keep_worse(worst,
               off ? no_supply(device, run, ends->volts, nominal) : path_drop_in(trial, run, device, *ends));
  }
  return worst;
}

std::optional<Check> pull_in_check(const Trial& trial, const Device& device) {
  const auto figure = device_figure(device, "pull_in_v", system_of(trial));
  if (!is_consumer(device) || !figure) return std::nullopt;
  const CoilTemperature hot = coil_temperature(trial, device);
  const double margin = rule(*trial.rules, "pull_in_margin_fraction");
  const double needed = figure->figure.high() * copper_factor(hot.hottest) * (1.0 + margin);
  std::optional<Check> worst;
  for (const TrialRun& run : trial.runs) {
    const bool judged = run.state == TrialState::everything_on || run.state == TrialState::named;
    if (run.corner != Corner::weakest || !judged) continue;
    const auto ends = consumer_ends(run, device);
    if (!ends || ends->volts.si < off_share * trial.graft->vehicle.supply.si) continue;
    Check check =
        make_check(CheckKind::pull_in, device.id, "volts at the hot coil against what it needs to pull in",
                   {ends->volts.si, needed, "V", false});
    check.condition = words_of(run);
    check.assumed = figure->origin == FigureOrigin::default_value;
    check.why = {
        "U >= U20 (1 + alpha (T - 20 C)) (1 + margin): a coil pulls in at a current, and hot copper needs "
        "more volts for it",
        figure->figure.source + "; " + rule_source(*trial.rules, "pull_in_margin_fraction"),
        {{"pulls in at 20 C with", print(Volts{figure->figure.high()}),
          check.assumed ? "usual of its kind" : "its sheet"},
         {"coil temperature", print(hot.hottest), hot.from}}};
    keep_worse(worst, std::move(check));
  }
  return worst;
}

}  // namespace loomgraft::design
