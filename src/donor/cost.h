// What a donor costs to fit, in points: the stated measure by which candidates are ranked
// (data/donor_costs.csv).
#pragma once

#include <vector>

#include "compare/tags.h"
#include "compare/verdict.h"

namespace loomgraft {

// Points by name; the figures are defaults that a caller may change.
struct DonorCosts {
  double fire = 0, injury = 0, damage = 0, false_signal = 0, clash = 0, unsure = 0, shift = 0, retire = 0;
  double add_supply = 0, add_earth = 0, add_driver = 0, add_switch = 0, add_sensor = 0, add_bus = 0,
         add_other = 0;
  double no_hardware = 0, tag_stop = 0, tag_attention = 0;
};

const DonorCosts& donor_costs();  // as in data/donor_costs.csv

// What one decision adds to the cost of a donor.
double cost_of(const Decision& decision, const PinKey* donor, const DonorCosts& costs);
double cost_of_add(const PinKey& donor, const DonorCosts& costs);
double cost_of(Grade grade, const DonorCosts& costs);
double cost_of(const std::vector<TagFinding>& findings, const DonorCosts& costs);

}  // namespace loomgraft
