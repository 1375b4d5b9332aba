// Named rule sets: the limits that a design must keep, each with its source (data/rules/*.json).
//
// Model   a set inherits what it does not state from "passenger_vehicle"; where sources differ, the value
//         chosen stands first and the others are kept beside it
// Gives   values in the unit of the name: "drop_earth_v", "fuse_load_fraction", "bend_diameters"
// Fails   nullptr for unknown names
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.h"

namespace loomgraft {

struct RuleValue {
  double value = 0.0;
  std::string source;
  std::string status;
};

struct Rule {
  std::string name;
  std::string text;  // "voltage lost in the earth return"
  std::string unit;
  RuleValue value;
  std::vector<RuleValue> others;  // values of other sources
};

struct RuleSet {
  std::string name;  // "passenger_vehicle", "commercial_24v", "marine"
  std::string text;
  std::map<std::string, Rule> rules;
  std::vector<SquareMetres> stock;  // wire sizes on sale, rising
};

std::span<const RuleSet> rule_sets();
const RuleSet* rule_set(std::string_view name);
// "commercial_24v" from 18 V nominal up, else "passenger_vehicle".
const RuleSet& default_rule_set(Volts supply);

}  // namespace loomgraft
