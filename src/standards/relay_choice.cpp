#include "standards/relay_choice.h"

#include "standards/device_kinds.h"
#include "standards/named_figures.h"

namespace loomgraft {

std::string relay_for(Volts supply, Amperes load) {
  static const NamedFigures figures("design_figures.csv", "value");
  const DeviceModel* best = nullptr;
  const double lowest = figures.at("relay_pull_in_lowest") * supply.si;
  double best_pull_in = figures.at("relay_pull_in_highest") * supply.si;
  for (const DeviceModel& model : device_models()) {
    const auto pull_in = model.figures.find("pull_in_v");
    const auto rating = model.figures.find("rating_a");
    if (model.kind != "relay" || pull_in == model.figures.end()) continue;
    if (rating != model.figures.end() && rating->second.middle() < load.si) continue;
    const double volts = pull_in->second.high();
    if (volts < lowest || volts >= best_pull_in) continue;
    best = &model;
    best_pull_in = volts;
  }
  return best ? best->name : std::string();
}

}  // namespace loomgraft
