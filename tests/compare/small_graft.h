// Two modules on one plug each, written as lines: {cavity, signal, class}. What is not written is not known.
#pragma once

#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

struct PinLine {
  const char* cavity;
  const char* signal;
  PinClass pin_class = PinClass::unknown;
};

inline void add_module(Graft& graft, const std::string& id, ModuleRole role,
                       const std::vector<PinLine>& lines) {
  Connector plug;
  plug.id = id + ".C1";
  plug.name = "C1";
  graft.connectors.push_back(plug);
  Module module;
  module.id = id;
  module.name = id;
  module.role = role;
  module.connectors = {plug.id};
  for (const PinLine& line : lines) {
    Pin pin;
    pin.at = {plug.id, line.cavity};
    pin.signal = line.signal;
    pin.pin_class = line.pin_class;
    module.pins.push_back(pin);
  }
  graft.modules.push_back(module);
}

inline Graft two_modules(const std::vector<PinLine>& found, const std::vector<PinLine>& donor) {
  Graft graft;
  add_module(graft, "found", ModuleRole::found, found);
  add_module(graft, "donor", ModuleRole::donor, donor);
  return graft;
}

}  // namespace loomgraft
