// What a consumer must get: little voltage drop on the whole path there and back, and enough to pull in when hot.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "design/feed_path.h"
#include "design/figures.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/copper.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

// Below this a consumer is off, not weak.
Volts off_below(const SizingRun& run) {
  return {design_figure("consumer_off") * run.graft->vehicle.supply.si};
}

std::vector<std::string> consumer_terminals(const Device& device, const DeviceKind& kind) {
  if (kind.build == DeviceBuild::relay) return {"86", "85"};
  return device.terminals.size() >= 2 ? device.terminals : kind.terminals;
}

struct CoilTemperature {
  Celsius hottest;
  const char* from;
  bool known = false;  // its place is stated
};

// The air where it sits and its own heating while it stays on. Without a stated place, the default of its kind.
CoilTemperature coil_temperature(const SizingRun& run, const Device& device) {
  const auto rise = device_figure(device, "self_heat_c", system_of(run));
  for (const LoomPlace& place : run.graft->places) {
    if (place.id != device.place || !place.hottest) continue;
    return {{place.hottest->degrees + (rise ? rise->figure.high() : 0.0)},
            "its place and its own heating while it stays on",
            true};
  }
  if (const auto hottest = device_figure(device, "hottest_c", system_of(run)))
    return {{hottest->figure.high()}, "default of its kind; no place is stated"};
  return {{network_figure("ambient_c", system_of(run)).high()}, "default value; no place is stated"};
}

// Both pins of a bridge are driven alike where everything is on: the motor between them stands still.
bool is_at_bridge(const SizingRun& run, const Device& device) {
  for (const Wire& wire : run.planned) {
    const bool from = wire.from.at == device.id;
    if (!from && wire.to.at != device.id) continue;
    const Pin* pin = pin_at(*run.graft, from ? wire.to : wire.from).pin;
    if (pin && pin->pin_class == PinClass::push_pull) return true;
  }
  return false;
}

Check no_supply(const SizingRun& run, const Device& device, const LoadCase& load_case, Volts volts,
                Volts needed) {
  Check check = make_check(CheckKind::path_drop, device_subject(device.id),
                           "it gets almost no voltage: the path is open", {volts.si, needed.si, "V", false});
  check.condition = text_of(load_case);
  check.why = {"volts between its terminals with everything on", "solved network", {}};
  check.judged = !is_at_bridge(run, device);
  return check;
}

std::string greatest_loss(const LoadCase& load_case, const std::vector<PathStep>& path) {
  const PathStep* most = nullptr;
  for (const PathStep& step : path) {
    if (load_case.network.branches[step.branch].kind == BranchKind::supply) continue;
    if (is_conductor(load_case.network.branches[step.branch].kind) && (!most || step.drop > most->drop))
      most = &step;
  }
  return most ? load_case.network.branches[most->branch].name + ": " + print(most->drop) : "none";
}

Check path_drop_in(const SizingRun& run, const LoadCase& load_case, const Device& device,
                   const ConsumerEnds& ends) {
  const auto there = feed_path(load_case, ends.plus, Walk::upstream);
  const auto back = feed_path(load_case, ends.minus, Walk::downstream);
  const Volts there_drop = conductor_drop(load_case, there);
  const Volts back_drop = conductor_drop(load_case, back);
  const double limit = rule(*run.rules, "drop_path_fraction") * run.graft->vehicle.supply.si;
  Check check =
      make_check(CheckKind::path_drop, device_subject(device.id), "volts lost in conductors, there and back",
                 {there_drop.si + back_drop.si, limit, "V", true});
  check.condition = text_of(load_case);
  check.why = {"sum over wires, contacts, joints and fuses of I R, on the path that carries most",
               rule_source(*run.rules, "drop_path_fraction"),
               {{"there", print(there_drop), "solved network"},
                {"back", print(back_drop), "solved network"},
                {"left at the device", print(ends.volts), "solved network"},
                {"most there", greatest_loss(load_case, there), "solved network"},
                {"most back", greatest_loss(load_case, back), "solved network"}}};
  return check;
}

}  // namespace

bool is_consumer(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  // Resistors in a circuit and inputs of other controllers are there for the current, not for the volts across them.
  if (!kind || device.kind == "resistor" || device.kind == "controller_input") return false;
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

std::optional<ConsumerEnds> consumer_ends(const LoadCase& load_case, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  if (!kind || !load_case.solved) return std::nullopt;
  const std::vector<std::string> terminals = consumer_terminals(device, *kind);
  if (terminals.size() < 2) return std::nullopt;
  const auto first = node_at(load_case.network, {device.id, terminals[0]});
  const auto second = node_at(load_case.network, {device.id, terminals[1]});
  if (!first || !second) return std::nullopt;
  const double volts = volts_at(load_case, *first).si - volts_at(load_case, *second).si;
  return volts >= 0 ? ConsumerEnds{*first, *second, {volts}} : ConsumerEnds{*second, *first, {-volts}};
}

std::optional<Check> path_drop_check(const SizingRun& run, const Device& device) {
  if (!is_consumer(device)) return std::nullopt;
  const Volts off = off_below(run);
  std::optional<Check> worst;
  for (const LoadCase& load_case : run.load_cases) {
    const bool judged = load_case.kind == LoadCaseKind::everything_on ||
                        load_case.kind == LoadCaseKind::running || load_case.kind == LoadCaseKind::named;
    if (load_case.corner != Corner::weakest || !judged) continue;
    const auto ends = consumer_ends(load_case, device);
    if (!ends) continue;
    const bool is_off = ends->volts < off;
    if (is_off && load_case.kind == LoadCaseKind::named) continue;
    keep_worst(worst, is_off ? no_supply(run, device, load_case, ends->volts, off)
                             : path_drop_in(run, load_case, device, *ends));
  }
  return worst;
}

std::optional<Check> pull_in_check(const SizingRun& run, const Device& device) {
  const auto figure = device_figure(device, "pull_in_v", system_of(run));
  if (!is_consumer(device) || !figure) return std::nullopt;
  const CoilTemperature hot = coil_temperature(run, device);
  const double margin = rule(*run.rules, "pull_in_margin_fraction");
  const double needed = figure->figure.high() * copper_factor(hot.hottest) * (1.0 + margin);
  std::optional<Check> worst;
  for (const LoadCase& load_case : run.load_cases) {
    const bool judged =
        load_case.kind == LoadCaseKind::everything_on || load_case.kind == LoadCaseKind::named;
    if (load_case.corner != Corner::weakest || !judged) continue;
    const auto ends = consumer_ends(load_case, device);
    if (!ends || ends->volts < off_below(run)) continue;
    Check check = make_check(CheckKind::pull_in, device_subject(device.id),
                             "volts at the hot coil against what it needs to pull in",
                             {ends->volts.si, needed, "V", false});
    check.condition = text_of(load_case);
    check.assumed = figure->origin == FigureOrigin::default_value;
    check.judged = check.passes || (!check.assumed && hot.known);
    check.why = {
        "U >= U20 (1 + alpha (T - 20 °C)) (1 + margin): a coil pulls in at a current, and hot copper needs "
        "more volts for it",
        figure->figure.source + "; " + rule_source(*run.rules, "pull_in_margin_fraction"),
        {{"pulls in at 20 °C with", print(Volts{figure->figure.high()}),
          check.assumed ? "default of its kind" : "its data sheet"},
         {"coil temperature", print(hot.hottest), hot.from}}};
    keep_worst(worst, std::move(check));
  }
  return worst;
}

std::optional<Check> hold_check(const SizingRun& run, const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  const auto figure = device_figure(device, "release_v", system_of(run));
  if (!kind || kind->build != DeviceBuild::relay || !figure) return std::nullopt;
  const auto on = consumer_ends(load_case_of(run, LoadCaseKind::everything_on, Corner::weakest), device);
  const auto cranking = std::ranges::find(run.load_cases, LoadCaseKind::cranking, &LoadCase::kind);
  if (!on || on->volts < off_below(run) || cranking == run.load_cases.end()) return std::nullopt;
  const auto ends = consumer_ends(*cranking, device);
  // One whose feed or output is off while the starter turns is not meant to hold.
  if (!ends || ends->volts < off_below(run)) return std::nullopt;
  const CoilTemperature hot = coil_temperature(run, device);
  const double needed = figure->figure.high() * copper_factor(hot.hottest);
  Check check =
      make_check(CheckKind::hold, device_subject(device.id),
                 "volts at the hot coil while the starter turns, against those at which it releases",
                 {ends->volts.si, needed, "V", false});
  check.condition = text_of(*cranking);
  check.assumed = figure->origin == FigureOrigin::default_value || !hot.known;
  check.judged = check.passes || !check.assumed;
  check.why = {"U >= release volts at 20 °C * (1 + alpha (T - 20 °C))",
               figure->figure.source + "; data/network_figures.csv: cranking_v",
               {{"releases at 20 °C below", print(Volts{figure->figure.high()}),
                 figure->origin == FigureOrigin::default_value ? "default of its kind" : "its data sheet"},
                {"coil temperature", print(hot.hottest), hot.from}}};
  return check;
}

}  // namespace loomgraft::design
