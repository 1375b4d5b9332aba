// Vehicle fuses: families with their time-current gates, ratings, cold resistance, breaking capacity (data/fuse_families.csv,
// data/fuse_gates.csv, data/fuses.csv).
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
  bool offered = false;             // one that a fuse without a rating may be chosen from
  std::optional<Amperes> breaking;  // the highest current that it interrupts; absent: nobody says
  std::string breaking_source;
  std::string breaking_status;
};

std::span<const FuseFamily> fuse_families();
// nullptr for a name that no family has; an empty name is the plain blade fuse.
const FuseFamily* fuse_family(std::string_view name);
// Every gate that says when it has opened was read in a source: none is from memory.
bool is_looked_up(const FuseFamily& family);

// The family of a fuse in a loom: the one it names, "maxi" for "maxi blade"; for a link that of links; else the first that
// makes its rating. `assumed` unless it is named.
struct FamilyOfFuse {
  const FuseFamily* family = nullptr;
  bool assumed = false;
};
FamilyOfFuse family_of_fuse(std::string_view name, bool is_link, std::optional<Amperes> rating);

// As listed; between two ratings straight in log-log, beyond them the same volts at the rating.
Ohms cold_resistance(const FuseFamily& family, Amperes rating);

// The smallest rating from `needed` up: of `preferred`, else of the first offered family that makes one.
struct FuseChoice {
  const FuseFamily* family = nullptr;
  Amperes rating;
};
std::optional<FuseChoice> smallest_fuse(const FuseFamily& preferred, Amperes needed);

// The current up to which it may never open, and that its wires must carry for good.
Amperes carried_for_good(const FuseFamily& family, Amperes rating);

// The longest time such a fuse may take to open, infinite below its first gate; and the shortest.
Seconds longest_opening(const FuseFamily& family, Amperes rating, Amperes current);
Seconds shortest_opening(const FuseFamily& family, Amperes rating, Amperes current);

}  // namespace loomgraft
