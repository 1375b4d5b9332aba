// What a lamp or a motor draws when it is switched on.
//
// Model   a lamp: the volts across it when it burns over the resistance of its cold filament; a motor: its stalled current, or a
//         multiple of its running current where only that is known
#pragma once

#include <optional>
#include <string>

#include "design/sizing_run.h"

namespace loomgraft::design {

struct Inrush {
  Amperes current;
  bool guessed = false;   // nothing but its kind is known
  bool multiple = false;  // of the running current: how much it is, but not that it is so much for long
  std::string when;       // "cold", "standing"
  std::string source;
};

// Nothing for other devices, and for a lamp that is off in this load case.
std::optional<Inrush> inrush_of(const SizingRun& run, const LoadCase& load_case, const Device& device);

}  // namespace loomgraft::design
