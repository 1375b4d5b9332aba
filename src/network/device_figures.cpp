#include "network/device_figures.h"

#include <map>

#include "standards/device_kinds.h"

namespace loomgraft {
namespace {

template <class Value>
std::optional<double> si(const std::optional<Value>& value) {
  return value ? std::optional<double>(value->si) : std::nullopt;
}

std::optional<double> measured(const Device& device, std::string_view quantity) {
  if (quantity == "resistance_ohm") return si(device.resistance);
  if (quantity == "inductance_h") return si(device.inductance);
  if (quantity == "rating_a") return si(device.rating);
  if (quantity == "current_a") return si(device.current);
  if (quantity == "pull_in_v") return si(device.pull_in);
  if (quantity == "release_v") return si(device.release);
  if (quantity == "closed_at_rest" && device.closed_at_rest) return *device.closed_at_rest ? 1.0 : 0.0;
  return std::nullopt;
}

std::optional<DeviceFigure> find(const std::map<std::string, Figure>& figures, std::string_view quantity,
                                 FigureOrigin origin) {
  const auto found = figures.find(std::string(quantity));
  if (found == figures.end()) return std::nullopt;
  return DeviceFigure{found->second, origin};
}

}  // namespace

std::optional<DeviceFigure> device_figure(const Device& device, std::string_view quantity,
                                          SystemVolts system) {
  if (const auto own = measured(device, quantity)) {
    Figure figure;
    figure.typical = *own;
    figure.source = "measured or stated in this job";
    return DeviceFigure{figure, FigureOrigin::measured};
  }
  if (const DeviceModel* model = device_model(device.model)) {
    if (auto stated = find(model->figures, quantity, FigureOrigin::model)) return stated;
  }
  const DeviceKind* kind = device_kind(device.kind);
  return kind ? find(kind->usual(system), quantity, FigureOrigin::usual) : std::nullopt;
}

}  // namespace loomgraft
