// Vehicle fuses: families with their time-current gates, ratings, cold resistance (data/fuses.csv).
//
// Model   a gate is a multiple of the rating with the shortest and longest time in which a fuse of the family
//         opens; between gates the curves are straight in log-log, beyond the last gate I2t is constant,
//         below the first gate the fuse may never open
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.h"

namespace loomgraft {

struct FuseGate {
  double multiple = 0.0;            // of the rating
  std::optional<Seconds> shortest;  // absent: nothing promised
  std::optional<Seconds> longest;   // absent: may never open
  std::string source;
  std::string status;
};

struct FuseRating {
  Amperes rating;
  Ohms cold_resistance;
  std::string colour;
  std::string source;
  std::string status;
};

struct FuseFamily {
  std::string name;                 // "blade", "mini blade", "maxi blade"
  std::string text;                 // "blade fuse, ISO 8820-3 type C"
  std::vector<FuseGate> gates;      // by multiple, rising
  std::vector<FuseRating> ratings;  // rising
};

std::span<const FuseFamily> fuse_families();
// nullptr for a name that no family has; an empty name is the plain blade fuse.
const FuseFamily* fuse_family(std::string_view name);

// The longest time such a fuse may take to open, infinite below its first gate; and the shortest.
Seconds longest_opening(const FuseFamily& family, Amperes rating, Amperes current);
Seconds shortest_opening(const FuseFamily& family, Amperes rating, Amperes current);

}  // namespace loomgraft
