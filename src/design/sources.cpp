#include "design/sources.h"

#include <algorithm>

#include "design/figures.h"
#include "network/device_figures.h"
#include "network/frame.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"

namespace loomgraft::design {
namespace {

std::string terminal(const Device& device, const DeviceKind& kind, std::size_t index) {
  const auto& terminals = device.terminals.size() > index ? device.terminals : kind.terminals;
  return terminals.size() > index ? terminals[index] : std::string();
}

std::optional<FeedingSource> source_of(const SizingRun& run, const LoadCase& load_case,
                                       const Device& device) {
  const DeviceKind& kind = *device_kind(device.kind);
  const SystemVolts system = system_of(run);
  const auto plus = node_at(load_case.network, {device.id, terminal(device, kind, 0)});
  if (!plus) return std::nullopt;
  const auto minus = node_at(load_case.network, {device.id, terminal(device, kind, 1)});
  const auto rating = device_figure(device, "rating_a", system);
  const auto ohms = device_figure(device, "resistance_ohm", system);
  FeedingSource source;
  source.device = &device;
  source.plus = *plus;
  source.minus = minus.value_or(earth_node);
  source.volts = {network_figure("running_v", system).high()};
  source.resistance = {ohms && ohms->figure.low() > 0 ? ohms->figure.low() : design_figure("source_ohm")};
  source.most = {rating && rating->figure.high() > 0 ? rating->figure.high() : design_figure("source_a")};
  source.assumed = !rating || rating->origin == FigureOrigin::default_value;
  return source;
}

}  // namespace

std::vector<FeedingSource> feeding_sources(const SizingRun& run, const LoadCase& load_case) {
  std::vector<FeedingSource> sources;
  for (const Device& device : run.graft->devices) {
    if (!is_limited_source(*run.frame, device)) continue;
    if (auto source = source_of(run, load_case, device)) sources.push_back(*source);
  }
  return sources;
}

LimitedSource element_of(const FeedingSource& source) {
  return {source.plus, source.minus, source.volts, source.resistance, source.most};
}

LimitedSource at_full_current(const FeedingSource& source) {
  constexpr double pressed = 4.0;  // times its volts: more than any wire between it and the battery takes
  LimitedSource element = element_of(source);
  element.voltage = element.voltage * pressed;
  return element;
}

bool is_limited_source(const LoomFrame& frame, const Device& device) {
  return build_of(frame, device.id) == DeviceBuild::alternator && !frame.forbidden.has_device(device.id);
}

std::vector<const Device*> further_batteries(const LoomFrame& frame) {
  std::vector<const Device*> batteries;
  for (const Device& device : frame.graft.devices) {
    if (device.kind == "battery" && !frame.forbidden.has_device(device.id)) batteries.push_back(&device);
  }
  const bool shared = frame.system == SystemVolts::nominal_24 && batteries.size() == 2;
  if (shared || batteries.size() < 2) return {};
  batteries.erase(batteries.begin());
  return batteries;
}

void charge_from_sources(const SizingRun& run, LoadCase& load_case) {
  for (const FeedingSource& source : feeding_sources(run, load_case))
    load_case.network.circuit.sources.push_back(at_full_current(source));
}

void charge_battery(const SizingRun& run, const Device& flat, LoadCase& load_case) {
  for (const NetworkBranch& branch : load_case.network.branches) {
    if (branch.kind != BranchKind::supply || branch.subject != flat.id || branch.list != ElementList::source)
      continue;
    LimitedSource& source = load_case.network.circuit.sources[branch.index];
    source.voltage = {network_figure("resting_v", system_of(run)).low()};
    source.limit = {design_figure("flat_battery_a")};
  }
}

}  // namespace loomgraft::design
