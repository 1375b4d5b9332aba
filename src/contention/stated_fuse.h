// The fuse that a text about a circuit states: "Sich. 19, 15 A", "fuse F12 20A".
//
// Model   a word for a fuse, or a fuse's designation such as F12, with a rating in amperes after it or just before
//         it ("10 A fuse"). A rating without a word for a fuse is none: "max. 2 A".
// Gives   the rating with the name where one is stated; nothing where the text states none
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/quantity.h"

namespace loomgraft {

struct StatedFuse {
  std::string name;  // "F12", "19"; empty where only the rating is stated
  Amperes rating;
  bool operator==(const StatedFuse&) const = default;
};

std::optional<StatedFuse> stated_fuse(std::string_view text);

}  // namespace loomgraft
