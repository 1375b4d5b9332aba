// One figure of one device: what the job measured, else what its model's sheet says, else the default
// of its kind on a vehicle of that supply.
#pragma once

#include <optional>
#include <string_view>

#include "loom/graft.h"
#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft {

enum class FigureOrigin { measured, model, default_value };

struct DeviceFigure {
  Figure figure;
  FigureOrigin origin = FigureOrigin::default_value;
};

// `quantity` as in standards/device_kinds.h; nothing if no source states it.
std::optional<DeviceFigure> device_figure(const Device& device, std::string_view quantity,
                                          SystemVolts system);

}  // namespace loomgraft
