// What a source says of a pin's pull-up or pull-down, read from its text into fields.
//
// Model   "pull-up 5 V 1 kohm", "pulldown, 10k", "no pull-up", "external pull-up 12 V". A pull-up that the
//         source calls external belongs into the loom: the module has none.
// Gives   the fields that the text states; everything else is left open
#pragma once

#include <optional>
#include <string_view>

#include "units/quantity.h"

namespace loomgraft::network {

enum class Pull { unstated, none, up, down };

struct PinBias {
  Pull pull = Pull::unstated;
  std::optional<Volts> supply;     // that it pulls to
  std::optional<Ohms> resistance;  // > 0
};

PinBias pin_bias(std::string_view text);

}  // namespace loomgraft::network
