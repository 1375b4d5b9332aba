// What changes if one fact is different: the design as it is against the design with that fact changed.
//
// Model   a change is "ID.member=value", the member as in the document: "w_valve.area_mm2=1.5",
//         "valve.resistance_ohm=7", "vehicle.supply_v=24", "rules.drop_earth_v=0.05"
// Fails   a Problem for a change that names nothing in the document, or a value that does not fit
// Gives   the checks whose value, limit or outcome differ, worst change first
// Cost    two designs
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "design/design.h"

namespace loomgraft {

tl::expected<Graft, Problem> changed(const Graft& graft, std::string_view change);

struct CheckChange {
  std::string circuit;
  std::optional<Check> before;  // absent: the check is new
  std::optional<Check> after;   // absent: it is gone
};

struct SizeChange {
  std::string wire;
  SquareMetres before;
  SquareMetres after;
};

struct WhatIfReport {
  std::string change;
  bool passed_before = true;
  bool passes_after = true;
  std::vector<CheckChange> checks;
  std::vector<SizeChange> sizes;
};

WhatIfReport what_if(const DesignReport& before, const DesignReport& after, std::string change);

}  // namespace loomgraft
