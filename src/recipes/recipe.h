// What usually hangs on a module pin of a class: whole circuits as data (data/recipes.csv, docs/recipes.md).
//
// Model   a recipe lists branches; a branch is a chain of parts in the order in which current flows, and two parts beside
//         each other are joined by a wire. The same kind and role twice is one device. Figures "a|b" are those of a 12 V
//         and of a 24 V vehicle
// Gives   starting values, each with its source; nothing here is true of this vehicle until somebody has looked
// Fails   a row that cannot be read is a bug of the data file (base/bug.h)
#pragma once

#include <array>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "standards/pin_class.h"
#include "standards/pin_states.h"
#include "units/quantity.h"

namespace loomgraft {

// A device (a kind of data/device_kinds.csv), or one of two that are none: a module pin ("pin") or a feed of the
// vehicle ("feed", its role is the terminal number of DIN 72552).
struct RecipePart {
  std::string kind;
  std::string role;  // "this" is the pin in hand
  std::string in;    // terminals of the device; empty: its first and its last
  std::string out;
  bool is_pin() const { return kind == "pin"; }
  bool is_feed() const { return kind == "feed"; }
  bool operator==(const RecipePart&) const = default;
};

struct RecipeFeed {
  std::string terminal;                        // "15", "30", "58", "61", "87", "5V"
  std::array<std::optional<Amperes>, 2> fuse;  // by SystemVolts; absent: none of its own
};

// Another pin of the same module that takes part.
struct RecipePartner {
  PinClass pin_class = PinClass::unknown;
  std::string role;
  bool optional = false;
};

struct Recipe {
  std::string id;
  std::optional<Volts> supply;             // only for vehicles of this nominal supply
  std::string text;                        // "low-side output works a relay for a motor (pump, blower)"
  PinClass pin_class = PinClass::unknown;  // unknown: no pin at all
  std::vector<std::string> keywords;       // words of a signal's name that suggest it
  int order = 5;                           // 1: usual for its class ... 9: seldom
  std::vector<RecipePartner> partners;
  std::vector<std::vector<RecipePart>> branches;
  std::vector<RecipeFeed> feeds;                             // in the order of the fuses in the branches
  std::array<Amperes, 2> current;                            // of the main load, typical, by SystemVolts
  std::map<std::string, std::array<Ohms, 2>> ohms;           // of resistors, by role
  std::map<std::string, std::array<SquareMetres, 2>> areas;  // usual sizes, by what the wire is for
  bool twisted = false;                                      // the wires at its pins, with each other
  std::string twist_shield;
  std::string suppression;
  std::string cautions;
  std::string checks;
  std::string source;
  std::string status;
};

std::span<const Recipe> all_recipes();
const Recipe* find_recipe(std::string_view id);

}  // namespace loomgraft
