#include "network/device_figures.h"

#include "standards/device_kinds.h"

namespace loomgraft {
namespace {

Figure exactly(double value, const char* unit) {
  return {std::nullopt, value, std::nullopt, unit, "stated in the document", "measured"};
}

std::optional<Figure> measured(const Device& device, std::string_view quantity) {
  if (quantity == "resistance_ohm" && device.resistance) return exactly(device.resistance->si, "ohm");
  if (quantity == "inductance_h" && device.inductance) return exactly(device.inductance->si, "H");
  if (quantity == "rating_a" && device.rating) return exactly(device.rating->si, "A");
  if (quantity == "current_a" && device.current) return exactly(device.current->si, "A");
  if (quantity == "pull_in_v" && device.pull_in) return exactly(device.pull_in->si, "V");
  if (quantity == "release_v" && device.release) return exactly(device.release->si, "V");
  if (quantity == "rated_v" && device.rated) return exactly(device.rated->si, "V");
  if (quantity == "withstands_v" && device.withstands) return exactly(device.withstands->si, "V");
  if (quantity == "closed_at_rest" && device.closed_at_rest)
    return exactly(*device.closed_at_rest ? 1.0 : 0.0, "yes");
  return std::nullopt;
}

std::optional<Figure> listed(const std::map<std::string, Figure>& figures, std::string_view quantity) {
  const auto found = figures.find(std::string(quantity));
  if (found == figures.end()) return std::nullopt;
  const Figure& figure = found->second;
  if (!figure.lowest && !figure.typical && !figure.highest) return std::nullopt;
  return figure;
}

}  // namespace

std::optional<DeviceFigure> device_figure(const Device& device, std::string_view quantity,
                                          SystemVolts system) {
  if (const auto own = measured(device, quantity)) return DeviceFigure{*own, FigureOrigin::measured};
  if (const DeviceModel* model = device_model(device.model)) {
    if (const auto sheet = listed(model->figures, quantity)) return DeviceFigure{*sheet, FigureOrigin::model};
  }
  if (const DeviceKind* kind = device_kind(device.kind)) {
    if (const auto by_default = listed(kind->defaults(system), quantity))
      return DeviceFigure{*by_default, FigureOrigin::default_value};
  }
  return std::nullopt;
}

}  // namespace loomgraft
